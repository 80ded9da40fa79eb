"""The commands that work on files: value one, learn from one, print what one may hold."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from functools import partial
from io import StringIO
from itertools import chain
from pathlib import Path

import click

from resale.cli.console import FOLDER, PATH, shown, whole, written
from resale.cli.reading_notes import (
    CAME_BACK,
    MATCHES,
    WORDS,
    reading_notes,
    told_columns,
    told_words,
)
from resale.cli.sales import open_ledger
from resale.config.settings import Settings, read_settings
from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.services.items.rack_rows import HEADING, NUMBERS, RackRows, chunks
from resale.services.standing.desk import Desk, desk_over
from resale.storage.db.database import records_as_they_are
from resale.storage.imports.cells.past_cells import Reading, Told
from resale.storage.imports.items.own_items import OwnItems, own_items_in_blocks
from resale.storage.imports.matching.column_memory import Remembered, remembered
from resale.storage.imports.past.own_sales import OwnSales
from resale.storage.imports.past.rates import stated_rates
from resale.storage.imports.tables.parquet_tables import ENDING, ParquetRows
from resale.storage.imports.tables.table_files import write_rows
from resale.storage.items.catalogue import catalogue_of
from resale.storage.items.label_rows import all_names
from resale.storage.models.book_in_use import book_of_shop, prices_in_use
from resale.storage.models.learning_run import learn_from
from resale.storage.models.model_files import save_model
from resale.storage.models.shop_prices import (
    OWN_FOLDER,
    ShopPrices,
    prices_by_rules,
    prices_of_shop,
    share_own_prices,
)


@click.command(short_help="Price every item of a file.")
@click.argument("file", type=PATH)
@click.option("--out", type=PATH, help="Where to write prices; - is the screen.")
@click.option("--problems", type=PATH, help="Where to write rows that could not be read.")
@FOLDER
@MATCHES
@WORDS
@click.option("--rules-only", is_flag=True, help="Leave sales out: prices by the rule book alone.")
@click.option(
    "--top",
    type=click.IntRange(0, 50),
    default=3,
    show_default=True,
    help="How many reasons to give for each price.",
)
def value(
    file: Path,
    out: Path | None,
    problems: Path | None,
    matches: tuple[str, ...],
    words: tuple[str, ...],
    folder: Path | None,
    rules_only: bool,
    top: int,
) -> None:
    """Price every item of FILE, a CSV, Excel or Parquet file with a row for each.

    Writes FILE-valued.csv beside it, or Parquet where --out ends in .parquet. Rows that cannot be
    read come back in FILE-came-back.csv with what to mend; mended, that file can be priced in its
    turn.
    """
    settings = read_settings(folder)
    told = Told(told_columns(matches), told_words(words))
    parts = _own_items(file, settings, told)
    own = next(parts)
    out = out or file.with_name(f"{file.stem}-valued.csv")
    problems = problems or file.with_name(f"{file.stem}-came-back.csv")
    _keep_apart(file, out, problems)
    back = _GivenBack(problems)
    back.add(own)
    book = _book_now(settings)
    if not len(own.items.good):
        raise ItemFileError("no row could be read", where=file.name, remedy=back.said)
    prices, desk = _desk_now(settings, book, rules_only=rules_only)
    if prices.fallback:
        click.echo(prices.fallback, err=True)
    rack, count, told_of = RackRows(desk, top), 0, set[str]()
    with rows_written(out) as write:
        for block in chain([own], parts):
            if block is not own:
                back.add(block)
            for line in reading_notes(block.table, block.matches, block.unknown, block.guessed):
                if line not in told_of:
                    click.echo(line, err=True)
                told_of.add(line)
            for part in shown(chunks(len(block.items.good)), "Pricing"):
                write(rack.rows(block.items, part))
            count += len(block.items.good)
    where = "" if str(out) == "-" else f" in {out}"
    click.echo(f"{count:,} items priced{where}; {back.said or 'none came back'}.", err=True)
    if back.said:
        raise click.exceptions.Exit(CAME_BACK)


@contextmanager
def rows_written(out: Path) -> Iterator[Callable[[Iterable[Sequence[str]]], None]]:
    """Let rows of prices be written, as CSV or as Parquet.

    Yields
    ------
    callable
        Writes some rows.
    """
    if out.suffix.lower() == ENDING:
        with whole(out) as draft, closing(ParquetRows(draft, HEADING, NUMBERS)) as rows:
            yield rows.write
        return
    with written(out) as stream:
        write_rows(stream, [HEADING])
        yield partial(write_rows, stream)


def _desk_now(settings: Settings, book: RuleBook, *, rules_only: bool) -> tuple[ShopPrices, Desk]:
    """Find what the shop's screens would decide by; a shop without records is not given any."""
    today, terms = datetime.now().astimezone().date(), ShopTerms.of(settings)
    found = None if rules_only else records_as_they_are(settings)
    if found is None:
        prices = prices_by_rules(book) if rules_only else prices_of_shop(settings, book)
        return prices, desk_over(prices.valuer(terms), settings, None, today)
    found.dispose()
    with open_ledger(settings) as records:
        prices = prices_in_use(settings, book, records)
        return prices, desk_over(prices.valuer(terms), settings, records, today)


def _own_items(file: Path, settings: Settings, told: Told) -> Iterator[OwnItems]:
    """Read a file by the rule book, the words and the labels that the shop's screens know."""
    today, names = datetime.now().astimezone().date(), None
    found = records_as_they_are(settings)
    if found is None:
        by = Reading(told, Remembered(), book_of_shop(settings), settings, today)
    else:
        found.dispose()
        with open_ledger(settings) as records:
            book = book_of_shop(settings, records)
            by = Reading(told, remembered(records), book, settings, today)
            names = all_names(records)
    yield from own_items_in_blocks(file, by, names)


def _book_now(settings: Settings) -> RuleBook:
    """Find the rule book that the shop's screens would show."""
    found = records_as_they_are(settings)
    if found is None:
        return book_of_shop(settings)
    found.dispose()
    with open_ledger(settings) as records:
        return book_of_shop(settings, records)


def _keep_apart(*paths: Path) -> None:
    named = [path.resolve() for path in paths if str(path) != "-"]
    if len(set(named)) < len(named):
        raise ItemFileError(
            "a file would be written over another of this command",
            where=str(paths[1]),
            remedy="name other files with --out and --problems",
        )


def _reading(settings: Settings, told: Told) -> Reading:
    """By what a file is read: the book, the words and the rates that the shop's screens know."""
    today, found = datetime.now().astimezone().date(), records_as_they_are(settings)
    if found is None:
        return Reading(told, Remembered(), book_of_shop(settings), settings, today)
    found.dispose()
    with open_ledger(settings) as records:
        book, rates = book_of_shop(settings, records), stated_rates(records)
        return Reading(told, remembered(records), book, settings, today, rates)


class _GivenBack:
    """A file of the rows that could not be read; there is one where there are such rows."""

    def __init__(self, path: Path) -> None:
        self._path, self._rows, self._first = path, 0, ""

    def add(self, items: OwnItems | OwnSales) -> None:
        """Write bad rows below those of earlier blocks.

        Parameters
        ----------
        items : OwnItems or OwnSales
        """
        if not items.problems:
            return
        if not self._rows:
            self._first = items.problems[0].sentence.rstrip(".")
            with written(self._path) as stream:
                items.write_bad_rows(stream)
        else:
            text = StringIO()
            items.write_bad_rows(text)
            with self._path.open("a", encoding="utf-8", newline="") as stream:
                stream.write(text.getvalue().split("\n", 1)[1])
        self._rows += len({problem.place for problem in items.problems})

    @property
    def said(self) -> str:
        """How many came back, where, and what is wrong first; empty where none did."""
        return f"{self._rows:,} came back in {self._path}. {self._first}" if self._rows else ""


@click.command(short_help="Print what a file may hold, as JSON.")
@click.option("--kind", "kind_id", help="Only this kind.")
def catalogue(kind_id: str | None) -> None:
    """Print kinds, signals and options as JSON: what a file of items may hold, and how to look."""
    click.echo(json.dumps(catalogue_of(load_rule_book(), kind_id), ensure_ascii=False, indent=2))


@click.command(short_help="Learn prices from a file of sales.")
@click.argument("sales", type=PATH)
@click.option("--out", type=PATH, help="Folder for the prices; the shop's own where left out.")
@FOLDER
@MATCHES
@WORDS
@click.option("--note", default="", help="A line to keep with the prices.")
def learn(
    sales: Path,
    out: Path | None,
    folder: Path | None,
    matches: tuple[str, ...],
    words: tuple[str, ...],
    note: str,
) -> None:
    """Learn prices from SALES, a CSV or Excel file with a row for each sale, under any headings.

    Rows that cannot be read come back in SALES-came-back.csv and are left out.
    """
    settings = read_settings(folder)
    by = _reading(settings, Told(told_columns(matches), told_words(words)))
    lesson = learn_from(
        sales, by, ShopTerms.of(settings), along=lambda parts: shown(parts, "Trying")
    )
    own = lesson.own
    for line in reading_notes(own.table, own.matches, own.unknown, own.guessed):
        click.echo(line, err=True)
    place = out or settings.data_folder / OWN_FOLDER
    today = datetime.now(UTC).date()
    manifest = save_model(lesson.model, place, note=note, created=today, data=lesson.data)
    if out is None and records_as_they_are(settings) is not None:
        with open_ledger(settings) as records:
            share_own_prices(records, settings)
    click.echo("\n".join(lesson.summary(by.book)))
    click.echo(f"Kept as {manifest.model_id} in {place}.")
    back = _GivenBack(sales.with_name(f"{sales.stem}-came-back.csv"))
    back.add(own)
    if back.said:
        click.echo(f"{back.said}.", err=True)
        raise click.exceptions.Exit(CAME_BACK)
