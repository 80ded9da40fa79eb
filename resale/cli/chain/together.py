"""The commands by which shops of a chain learn together: gathered, and prices handed over."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from resale.cli.chain.desk import chain_members
from resale.cli.console import FOLDER, PATH
from resale.cli.reading_notes import CAME_BACK
from resale.errors import ResaleError
from resale.services.actor import at_the_machine
from resale.services.chain.folders import folder_of
from resale.services.chain.gather import gather_sales, gathered_of_others
from resale.services.chain.hand_over import hand_over
from resale.storage.models.model_files import MANIFEST, load_model, read_manifest


@click.command(short_help="Gather what all shops sold, from their own records.")
@click.argument("sales", type=PATH)
@FOLDER
def gather(sales: Path, folder: Path | None) -> None:
    """Write what each shop sold into the folder SALES, in the place of what it was the last time.

    The shops are this one and those that its setting other_shops names. One that cannot be
    gathered is said so, and the exit code is 1.
    """
    failed = False
    with chain_members(folder) as members:
        chain = members[0].shop
        for one in members:
            if one.shop is None or chain is None:
                click.echo(one.trouble, err=True)
                failed = True
                continue
            try:
                count = gather_sales(one.shop, sales, chain.changed, chain.settings.currency)
            except ResaleError as fault:
                click.echo(fault.sentence, err=True)
                failed = True
                continue
            click.echo(f"{one.name}: {count:,} sales gathered.")
        if all(one.shop is not None for one in members):
            for file in gathered_of_others(sales, {one.name for one in members}):
                click.echo(
                    f"{file.name}: no shop of the chain is called so now; remove the file if that "
                    "shop is called otherwise, or its sales count twice.",
                    err=True,
                )
                failed = True
    if failed:
        raise click.exceptions.Exit(CAME_BACK)


@click.command("hand-over", short_help="Let each shop's prices follow those of the chain.")
@click.argument("prices", type=PATH)
@click.option("--note", default="", help="A line to keep with the prices.")
@FOLDER
def hand_over_prices(prices: Path, note: str, folder: Path | None) -> None:
    """Hand PRICES, which 'chain fit' wrote, over to the shops that they are for.

    Each stands in its shop's list of learned prices, and can be gone back from. A shop for which
    there are none is said so, and the exit code is 1.
    """
    at, failed = datetime.now().astimezone(), False
    with chain_members(folder) as members:
        for one in members:
            place = prices / folder_of(one.name)
            if one.shop is None or not (place / MANIFEST).is_file():
                click.echo(one.trouble or f"{one.name}: no prices are for it.", err=True)
                failed = True
                continue
            try:
                model, digest = load_model(place, one.shop.changed), read_manifest(place).sha256
                found = hand_over(one.shop, at_the_machine(), model, digest, at, note)
            except ResaleError as fault:
                click.echo(f"{one.name}: {fault.sentence}", err=True)
                failed = True
                continue
            click.echo(f"{one.name}: prices follow {found.model_id} now.")
    if failed:
        raise click.exceptions.Exit(CAME_BACK)
