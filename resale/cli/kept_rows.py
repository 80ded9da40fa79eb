"""The command that compares the rows that pages read with the Ledger that they follow from."""

from __future__ import annotations

from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.settings import read_settings
from resale.storage.ledger.item_now import astray, write_anew

DIFFERS, NAMED = 1, 10


@click.command("check", short_help="See that lists agree with the Ledger.")
@click.option("--mend", is_flag=True, help="Write the rows that lists read anew from the Ledger.")
@FOLDER
@click.pass_context
def check(ctx: click.Context, mend: bool, folder: Path | None) -> None:
    """See that the rows that lists read agree with the Ledger, item by item.

    Where an item is now is kept as a row that follows from all that happened to it. Ends with exit
    code 1 where a row is another; nothing of the Ledger is ever changed by it.
    """
    with open_ledger(read_settings(folder)) as records:
        if mend:
            write_anew(records)
        found = astray(records)
    if not found:
        click.echo("All rows agree with the Ledger.")
        return
    more = f" and {len(found) - NAMED:,} more" if len(found) > NAMED else ""
    click.echo(
        f"{', '.join(found[:NAMED])}{more}: lists show another place or price than the Ledger; "
        "write the rows anew with --mend.",
        err=True,
    )
    ctx.exit(DIFFERS)
