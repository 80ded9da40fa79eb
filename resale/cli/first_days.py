"""The command of the first days: what a new shop has done, and the command for what is next."""

from __future__ import annotations

from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.config.settings import read_settings
from resale.services.settings.first_days import first_days
from resale.services.shop import open_shop

WORDS = {
    "name": ("name the shop and its currency", "resale settings name 'Our shop'"),
    "past": ("bring past sales in, if there are any", "resale bring FILE --load"),
    "learn": ("learn prices from what sold", "resale fit"),
    "consignors": ("bring consignors in, if there are any", "resale consignors FILE --load"),
    "stock": ("bring the stock in", "resale stock FILE --load, or the Bench"),
    "ordinary": ("say what ordinary things bring", "resale ordinary shirt=8-15 shoes=15-40"),
    "out": ("put the rail out", "the Rail of resale open"),
    "sold": ("sell something", "the Ledger of resale open"),
    "settle": ("close the month and pay", "resale accounts close DAY"),
    "copy": ("keep a copy on another disk", "resale keep --to FOLDER"),
}


@click.command("first-days", short_help="Say what a new shop has done, and what is next.")
@FOLDER
def first_days_now(folder: Path | None) -> None:
    """List the steps of a shop's first days: which are done, and which is next."""
    shop = open_shop(read_settings(folder))
    try:
        found = first_days(shop)
    finally:
        shop.records.dispose()
    if found is None:
        click.echo("The first days are over: nothing is left to do.")
        return
    for one in found.steps:
        mark = "done" if one.done else "next" if one == found.next_step else ""
        words, command = WORDS[one.id]
        click.echo(f"{mark:5} {words}" + ("" if one.done else f": {command}"))
