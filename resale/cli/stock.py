"""Commands that bring in what stands in the shop already, and who brought it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Literal

import click

from resale.cli.console import FOLDER, PATH, shown, written
from resale.cli.reading_notes import (
    CAME_BACK,
    DECIMAL,
    FIRST,
    MATCHES,
    WORDS,
    reading_notes,
    told_columns,
    told_words,
)
from resale.config.settings import read_settings
from resale.services.actor import at_the_machine
from resale.services.items.bring_stock import bring_stock, try_stock
from resale.services.settlement.bring_consignors import bring_consignors, try_consignors
from resale.services.shop import open_shop
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.items.item_columns import Problem
from resale.storage.imports.items.item_files import write_back
from resale.storage.imports.tables.table_files import Table, read_bytes

LOAD = click.option("--load", "loads", is_flag=True, help="Load it; else it is only tried.")
TRIED = "Nothing was written; load it with --load."


@click.command(short_help="Bring in what stands in the shop already.")
@click.argument("file", type=PATH)
@LOAD
@MATCHES
@WORDS
@FIRST
@DECIMAL
@FOLDER
def stock(
    file: Path,
    loads: bool,
    matches: tuple[str, ...],
    words: tuple[str, ...],
    first: Literal["day", "month"] | None,
    decimal: Literal[".", ","] | None,
    folder: Path | None,
) -> None:
    """Try FILE, a CSV or Excel file with a row for each thing on hand, under any headings.

    A number, a ticket, the day since when it hangs and a consignor are taken over where it gives
    them. Rows that do not come in are in FILE-came-back.csv; the exit code is 1 then.
    """
    shop, now = open_shop(read_settings(folder)), datetime.now().astimezone()
    told = Told(told_columns(matches), told_words(words), first, decimal)
    try:
        trial = try_stock(shop, read_bytes(file), file.name, told, now.date())
        own = trial.own
        for match in own.matches:
            if match.column:
                such_as = "; ".join(match.examples)
                click.echo(f"  {match.heading} = {match.column} ({match.how}) {such_as}".rstrip())
        for line in reading_notes(own.table, own.matches, own.unknown, own.guessed):
            click.echo(line)
        click.echo(
            f"{len(own.table.rows):,} rows: {len(trial.rows):,} new things, {trial.known:,} are "
            f"known already, {trial.bad_rows:,} come back."
        )
        if loads:
            with click.progressbar(length=max(1, len(trial.rows)), label="Valuing") as bar:
                added = bring_stock(
                    shop, at_the_machine(), trial, now, lambda done, of: bar.update(done - bar.pos)
                )
            click.echo(f"{added:,} things are in the records now.")
        elif trial.rows:
            click.echo(TRIED)
    finally:
        shop.records.dispose()
    _give_back(file, own.table, trial.problems)


@click.command("consignors", short_help="Bring consignors in.")
@click.argument("file", type=PATH)
@LOAD
@FOLDER
def consignors_file(file: Path, loads: bool, folder: Path | None) -> None:
    """Try FILE, a CSV or Excel file with number, name and share of each consignor."""
    shop, now = open_shop(read_settings(folder)), datetime.now().astimezone()
    try:
        read = try_consignors(shop, read_bytes(file), file.name)
        click.echo(f"{len(read.table.rows):,} rows: {len(read.people):,} consignors.")
        if loads:
            new, known = bring_consignors(shop, at_the_machine(), read, now)
            click.echo(f"{new:,} are new, {known:,} were known.")
        elif read.people:
            click.echo(TRIED)
    finally:
        shop.records.dispose()
    _give_back(file, read.table, read.problems)


def _give_back(file: Path, table: Table, problems: Iterable[Problem]) -> None:
    listed = list(problems)
    if not listed:
        return
    path = file.with_name(f"{file.stem}-came-back.csv")
    with written(path) as stream:
        write_back(stream, table, shown(listed, "Writing"))
    rows = len({one.place for one in listed})
    click.echo(f"{rows:,} rows came back in {path}. {listed[0].sentence}", err=True)
    raise click.exceptions.Exit(CAME_BACK)
