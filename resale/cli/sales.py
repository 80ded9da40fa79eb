"""Commands of the Ledger: bring past sales in, fit prices to what sold, take everything out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Literal

import click
from sqlalchemy import Engine

from resale.cli.console import FOLDER, PATH, written
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
from resale.config.settings import Settings, read_settings
from resale.pricing.evaluation.spread_words import spread_words
from resale.services.actor import at_the_machine
from resale.services.backup.take_away import take_records_out_to
from resale.services.imports.load_past_sales import load_past_sales
from resale.services.prices.learn_prices import learn_prices
from resale.storage.db.database import records_of
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.past.past_sales import DryRun, dry_run
from resale.storage.imports.tables.encodings import CHOICES
from resale.storage.imports.tables.table_files import read_bytes
from resale.storage.models.book_in_use import book_of_shop

LEFT_OUT = {
    "equal": "an equal row stands above, and you said that those are one sale (or they have one "
    "number).",
    "known": "an equal sale is in the records already; where it is another one, bring it in with "
    "--take known.",
    "odd": "the price is far from what such things bring; where it is right, bring it in with "
    "--take odd.",
    "told": "you said so of a word in the row.",
}


@click.command(short_help="Bring a file of your own past sales in.")
@click.argument("file", type=PATH)
@click.option("--load", "loads", is_flag=True, help="Load it; else it is only tried.")
@MATCHES
@WORDS
@FIRST
@DECIMAL
@click.option("--letters", type=click.Choice(list(CHOICES)), help="By which set they are read.")
@click.option("--once", is_flag=True, help="Rows that are equal in all cells are one sale.")
@click.option(
    "--take",
    "take",
    multiple=True,
    type=click.Choice(["known", "odd"]),
    help="Bring in what is left out: sales equal to some in the records, or odd prices.",
)
@FOLDER
def bring(
    file: Path,
    loads: bool,
    matches: tuple[str, ...],
    words: tuple[str, ...],
    first: Literal["day", "month"] | None,
    decimal: Literal[".", ","] | None,
    letters: str | None,
    once: bool,
    take: tuple[str, ...],
    folder: Path | None,
) -> None:
    """Try FILE, a CSV or Excel file with a row for each past sale, under any headings.

    Shows what each column is taken for and what is wrong with which row; nothing is written before
    --load. Rows that do not come in are in FILE-came-back.csv, each with its reason; the exit code
    is 1 then.
    """
    settings = read_settings(folder)
    told = Told(
        told_columns(matches),
        told_words(words),
        first,
        decimal,
        letters,
        once,
        frozenset(take),
    )
    now = datetime.now().astimezone()
    content = read_bytes(file)
    with open_ledger(settings) as records:
        book = book_of_shop(settings, records)
        _step(0, 2, f"Reading {file.name}")
        tried = dry_run(records, content, file.name, book, settings, now.date(), told)
        click.echo("\n".join(_summary(tried)))
        came_back = _give_back(tried, file.with_name(f"{file.stem}-came-back.csv"))
        if loads:
            _step(1, 2, f"Writing {tried.counts.fresh:,} past sales")
            added = load_past_sales(records, at_the_machine(), tried, settings.currency, now)
            click.echo(f"{added:,} past sales loaded.")
        elif tried.counts.fresh:
            click.echo("Nothing was written; load it with --load.")
    if came_back:
        click.echo(came_back, err=True)
        raise click.exceptions.Exit(CAME_BACK)


@click.command(short_help="Learn prices from all that sold.")
@click.option("--note", default="", help="A line to keep with the prices.")
@FOLDER
def fit(note: str, folder: Path | None) -> None:
    """Learn prices from all sales in the Ledger; from now on prices follow them."""
    settings = read_settings(folder)
    now = datetime.now().astimezone()
    with open_ledger(settings) as records:
        book = book_of_shop(settings, records)
        found = learn_prices(records, settings, book, at_the_machine(), now, _step, note)
    said = spread_words(found.spread, found.noise)
    click.echo(f"Learned from {found.sales:,} sales. {said}")
    click.echo(f"Kept as {found.model_id} in {found.folder}; prices follow it now.")


@click.command("take-out", short_help="Write all records to open formats.")
@click.argument("place", type=PATH, metavar="FOLDER")
@FOLDER
def take_out_records(place: Path, folder: Path | None) -> None:
    """Write all records into FOLDER: one zip of CSV files, tables, photos and settings."""
    settings = read_settings(folder)
    with open_ledger(settings) as records:
        now = datetime.now().astimezone()
        out = take_records_out_to(records, settings, at_the_machine(), place, now)
    rows = ", ".join(f"{name} {count:,}" for name, count in out.counts.items())
    click.echo(f"Written to {out.path}: {rows}.")


# ---------------------------------------------------------------- what is said
def _summary(tried: DryRun) -> list[str]:
    lines = [tried.loaded_before] if tried.loaded_before else []
    for one in tried.columns:
        match = one.match
        if match.column:
            became = "; ".join(f"{cell} -> {read}" for cell, read in one.became)
            lines.append(f"  {match.heading} = {match.column} ({match.how}) {became}".rstrip())
    matches = [one.match for one in tried.columns]
    lines += reading_notes(tried.table, matches, tried.unknown, tried.guessed)
    counts = tried.counts
    lines.append(
        f"{counts.rows:,} rows: {counts.fresh:,} new past sales, {counts.known:,} are known "
        f"already, {counts.bad:,} come back."
    )
    for why, rows in tried.left.items():
        lines.append(f"{len(rows):,} left out: {LEFT_OUT[why]}")
    return lines


def _give_back(tried: DryRun, path: Path) -> str:
    out = [*tried.problems, *(one for rows in tried.left.values() for one in rows)]
    if not out:
        return ""
    with written(path) as stream:
        tried.write_bad_rows(stream)
    rows = len({one.place for one in out})
    return f"{rows:,} rows came back in {path}. {out[0].sentence}"


def _step(done: int, of: int, words: str) -> None:
    if done < of:
        click.echo(f"{words} ...", err=True)


@contextmanager
def open_ledger(settings: Settings) -> Iterator[Engine]:
    """Open the shop's records for as long as a command needs them."""
    records = records_of(settings)
    try:
        yield records
    finally:
        records.dispose()
