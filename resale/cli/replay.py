"""The command that works a saved valuation out again."""

from __future__ import annotations

from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.settings import read_settings
from resale.money import Money
from resale.storage.items.replay import Replay, replay
from resale.storage.models.book_in_use import book_of_shop

DIFFERS = 1


@click.command("replay", short_help="Work a saved valuation out again.")
@click.argument("number")
@click.option(
    "--back", type=click.IntRange(min=0), default=0, help="How many valuations to go back."
)
@FOLDER
@click.pass_context
def replay_item(ctx: click.Context, number: str, back: int, folder: Path | None) -> None:
    """Work the newest valuation of the item NUMBER out again, and show both side by side.

    By the rule book, the prices and the terms of its day. Ends with exit code 1 where they differ,
    or where it cannot be worked out again.
    """
    settings = read_settings(folder)
    book = book_of_shop(settings)
    with open_ledger(settings) as records:
        found = replay(records, settings, book, number, back)
    click.echo("\n".join(_table(found, settings.money)))
    if found.equal:
        click.echo("Worked out again: the same to the cent.")
        return
    click.echo(found.why, err=True)
    ctx.exit(DIFFERS)


def _table(found: Replay, money: Money) -> list[str]:
    def written(amount: int | None, is_share: bool) -> str:
        if amount is None:
            return ""
        return money.signed(amount) if is_share else money.plain(amount)

    rows = [("", "saved", "again" if found.now else "")]
    for line in found.lines:
        rows.append((line.what, written(line.was, line.is_share), written(line.now, line.is_share)))
    first, second, third = (max(len(row[column]) for row in rows) for column in range(3))
    return [f"{what:<{first}}  {was:>{second}}  {now:>{third}}".rstrip() for what, was, now in rows]
