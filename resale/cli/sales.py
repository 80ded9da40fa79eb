"""Commands of the Ledger: bring past sales in, fit prices to what sold, take everything out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Literal

import click
from sqlalchemy import Engine

from resale.cli.console import PATH, written
from resale.config.settings import Settings, read_settings
from resale.errors import ReadingError
from resale.services.actor import at_the_machine
from resale.services.prices.learn_prices import learn_prices
from resale.storage.backup.export import take_out
from resale.storage.db.database import records_of
from resale.storage.imports.past_cells import Told
from resale.storage.imports.past_load import load
from resale.storage.imports.past_sales import DryRun, dry_run
from resale.storage.imports.table_files import read_bytes
from resale.storage.models.book_in_use import book_of_shop

FOLDER = click.option("--folder", type=PATH, help="Where the shop's records are kept.")
SHOWN = 10


@click.command(short_help="Bring a file of your own past sales in.")
@click.argument("file", type=PATH)
@click.option("--load", "loads", is_flag=True, help="Load it; else it is only tried.")
@click.option(
    "--match", "matches", multiple=True, metavar="THEIRS=OURS", help="A column and what it is."
)
@click.option(
    "--word",
    "words",
    multiple=True,
    metavar="OURS:WORD=OPTION",
    help="A word in a column and what it means; nothing after = is not looked at.",
)
@click.option("--first", type=click.Choice(["day", "month"]), help="What comes first in dates.")
@click.option("--decimal", type=click.Choice([".", ","]), help="What stands before the cents.")
@FOLDER
def bring(
    file: Path,
    loads: bool,
    matches: tuple[str, ...],
    words: tuple[str, ...],
    first: Literal["day", "month"] | None,
    decimal: Literal[".", ","] | None,
    folder: Path | None,
) -> None:
    """Try FILE, a CSV or Excel file with a row for each past sale, under any headings.

    Shows what each column is taken for and what is wrong with which row; nothing is written before
    --load. Rows that cannot be read come back in FILE-came-back.csv.
    """
    settings = read_settings(folder)
    told = Told(_columns(matches), _words(words), first, decimal)
    now = datetime.now().astimezone()
    content = read_bytes(file)
    with open_ledger(settings) as records:
        book = book_of_shop(settings, records)
        tried = dry_run(records, content, file.name, book, settings, now.date(), told)
        click.echo("\n".join(_summary(tried)))
        came_back = _give_back(tried, file.with_name(f"{file.stem}-came-back.csv"))
        if loads:
            added = load(
                records, tried, currency=settings.currency, at=now, by=at_the_machine().name
            )
            click.echo(f"{added:,} past sales loaded.")
        elif tried.counts.fresh:
            click.echo("Nothing was written; load it with --load.")
    if came_back:
        click.echo(came_back, err=True)


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
    click.echo(
        f"Learned from {found.sales:,} sales; with everything looked at, prices still spread by "
        f"about {found.noise:.0%}."
    )
    click.echo(f"Kept as {found.model_id} in {found.folder}; prices follow it now.")


@click.command("take-out", short_help="Write all records to open formats.")
@click.argument("place", type=PATH, metavar="FOLDER")
@FOLDER
def take_out_records(place: Path, folder: Path | None) -> None:
    """Write all records into FOLDER, as one zip of CSV files with a manifest."""
    settings = read_settings(folder)
    with open_ledger(settings) as records:
        out = take_out(records, settings, place, datetime.now().astimezone())
    rows = ", ".join(f"{name} {count:,}" for name, count in out.counts.items())
    click.echo(f"Written to {out.path}: {rows}.")


# ---------------------------------------------------------------- what was typed
def _columns(matches: Iterable[str]) -> Mapping[str, str]:
    return dict(_pair(text, "--match") for text in matches)


def _words(words: Iterable[str]) -> Mapping[tuple[str, str], str]:
    found = {}
    for text in words:
        place, means = _pair(text, "--word")
        column, colon, word = place.partition(":")
        if not colon:
            raise ReadingError(
                f"{text[:60]!r} names no column", where="--word", remedy="write hole:tiny=seen_1"
            )
        found[column.strip(), word.strip()] = means
    return found


def _pair(text: str, option: str) -> tuple[str, str]:
    # A heading may hold the sign itself; our names never do.
    theirs, sign, ours = text.rpartition("=")
    if not sign:
        raise ReadingError(
            f"{text[:60]!r} has no = in it", where=option, remedy="write 'Sold for=price'"
        )
    return theirs.strip(), ours.strip()


# ---------------------------------------------------------------- what is said
def _summary(tried: DryRun) -> list[str]:
    lines = [tried.loaded_before] if tried.loaded_before else []
    for one in tried.columns:
        match = one.match
        if not match.column:
            lines.append(f"  {match.heading}: passed over")
            continue
        became = "; ".join(f"{cell} -> {read}" for cell, read in one.became)
        lines.append(f"  {match.heading} = {match.column} ({match.how}) {became}".rstrip())
    counts = tried.counts
    lines.append(
        f"{counts.rows:,} rows: {counts.fresh:,} new past sales, {counts.doubles:,} stand twice, "
        f"{counts.known:,} are known already, {counts.bad:,} come back."
    )
    for word in tried.unknown[:SHOWN]:
        near = f"; perhaps {word.nearest}" if word.nearest else ""
        lines.append(f"  {word.column}: {word.word!r} in {word.count:,} rows is no option{near}.")
    return lines


def _give_back(tried: DryRun, path: Path) -> str:
    if not tried.problems:
        return ""
    with written(path) as stream:
        tried.write_bad_rows(stream)
    return f"{tried.counts.bad:,} rows came back in {path}. {tried.problems[0].sentence}"


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
