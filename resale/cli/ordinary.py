"""The command of ordinary prices: where the prices of a new shop begin."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.config.settings import read_settings
from resale.errors import ReadingError
from resale.services.actor import at_the_machine
from resale.services.prices.state_ordinary import state_ordinary
from resale.services.shop import Shop, open_shop
from resale.services.standing.unpriced import is_stated, unpriced


@click.command(short_help="Say what ordinary things bring here.")
@click.argument("said", nargs=-1, metavar="KIND=FROM-TO...")
@FOLDER
def ordinary(said: tuple[str, ...], folder: Path | None) -> None:
    """Say from where to where most things of a kind go, such as shirt=8-15 shoes=15-40.

    Without any, shows what an average thing of each kind is taken to bring now.
    """
    shop = open_shop(read_settings(folder))
    try:
        if said:
            ranges = dict(_range(text) for text in said)
            found = state_ordinary(shop, at_the_machine(), ranges, datetime.now().astimezone())
            for kind, anchor in found.items():
                click.echo(f"{kind}: an average one brings {shop.money.about(anchor)}")
            if shop.valuer.model.sales:
                click.echo("Prices were learned before that: 'resale fit' lets them follow.")
        else:
            click.echo("\n".join(map(partial(_now, shop), shop.changed.kinds)))
    finally:
        shop.records.dispose()


def _now(shop: Shop, kind: str) -> str:
    """What an average thing of a kind is taken to bring, and on whose word."""
    anchor = shop.changed.kinds[kind].text.anchor
    if is_stated(shop.changed, kind):
        return f"{kind}: an average one brings {shop.money.about(anchor)}"
    if unpriced(shop.valuer, shop.settings, kind):
        return f"{kind}: nobody said it yet, so nothing gets a price of ours"
    return f"{kind}: the book's opinion, {shop.money.about(anchor)}, and what sold here"


def _range(text: str) -> tuple[str, tuple[str, str]]:
    kind, sign, both = text.partition("=")
    low, dash, high = both.partition("-")
    if not sign or not dash:
        raise ReadingError(
            f"{text[:40]!r} is no range", where="ordinary", remedy="write shirt=8-15"
        )
    return kind.strip(), (low, high)
