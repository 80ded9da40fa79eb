"""The command of rates: what another currency in a file is worth."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.config.settings import read_settings
from resale.services.actor import at_the_machine
from resale.services.ledger.state_rate import state_rate
from resale.services.shop import open_shop
from resale.storage.imports.past.rates import stated_rates


@click.command(short_help="Say what another currency is worth.")
@click.argument("currency", required=False)
@click.argument("rate", required=False)
@click.option("--from", "since", help="First day that it holds for, such as 2025-01-01.")
@FOLDER
def rate(currency: str | None, rate: str | None, since: str | None, folder: Path | None) -> None:
    """State that 1 CURRENCY is worth RATE in the shop's money, or list what was stated."""
    shop = open_shop(read_settings(folder))
    now = datetime.now().astimezone()
    try:
        if currency is not None:
            state_rate(shop, at_the_machine(), currency, rate or "", since or "", now)
        for code, days in stated_rates(shop.records).by_currency.items():
            for day, value in days:
                click.echo(f"1 {code} = {value:f} {shop.settings.currency} from {day}")
    finally:
        shop.records.dispose()
