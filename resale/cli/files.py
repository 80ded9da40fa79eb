"""The commands that work on files: value one, learn from one, print what one may hold."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER, PATH, shown, written
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
from resale.services.items.rack_rows import HEADING, RackRows, chunks
from resale.services.standing.desk import Desk, desk_over
from resale.storage.db.database import records_as_they_are
from resale.storage.imports.cells.past_cells import Reading, Told
from resale.storage.imports.items.item_files import ItemFile
from resale.storage.imports.items.own_items import OwnItems, read_own_items
from resale.storage.imports.matching.column_memory import Remembered, remembered
from resale.storage.imports.tables.table_files import read_bytes, write_rows
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
    """Price every item of FILE, a CSV or Excel file with a row for each.

    Writes FILE-valued.csv beside it. Rows that cannot be read come back in FILE-came-back.csv with
    what to mend; mended, that file can be priced in its turn.
    """
    settings = read_settings(folder)
    told = Told(told_columns(matches), told_words(words))
    own = _own_items(file, settings, told)
    items = own.items
    out = out or file.with_name(f"{file.stem}-valued.csv")
    problems = problems or file.with_name(f"{file.stem}-came-back.csv")
    _keep_apart(file, out, problems)
    came_back = _give_back(own, problems)
    book = _book_now(settings)
    if not len(items.good):
        raise ItemFileError("no row could be read", where=file.name, remedy=came_back)
    for line in reading_notes(own.table, own.matches, own.unknown, own.guessed):
        click.echo(line, err=True)
    prices, desk = _desk_now(settings, book, rules_only=rules_only)
    if prices.fallback:
        click.echo(prices.fallback, err=True)
    rack = RackRows(desk, top)
    with written(out) as stream:
        write_rows(stream, [HEADING])
        for part in shown(chunks(len(items.good)), "Pricing"):
            write_rows(stream, rack.rows(items, part))
    where = "" if str(out) == "-" else f" in {out}"
    click.echo(
        f"{len(items.good):,} items priced{where}; {came_back or 'none came back'}.", err=True
    )
    if came_back:
        raise click.exceptions.Exit(CAME_BACK)


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


def _own_items(file: Path, settings: Settings, told: Told) -> OwnItems:
    """Read a file by the rule book, the words and the labels that the shop's screens know."""
    content, today = read_bytes(file), datetime.now().astimezone().date()
    found = records_as_they_are(settings)
    if found is None:
        by = Reading(told, Remembered(), book_of_shop(settings), settings, today)
        return read_own_items(content, file.name, by)
    found.dispose()
    with open_ledger(settings) as records:
        book = book_of_shop(settings, records)
        by = Reading(told, remembered(records), book, settings, today)
        return read_own_items(content, file.name, by, all_names(records))


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


def _give_back(items: ItemFile | OwnItems, path: Path) -> str:
    """Write the rows that could not be read; say how many, where, and what is wrong first."""
    if not items.problems:
        return ""
    with written(path) as stream:
        items.write_bad_rows(stream)
    first = items.problems[0].sentence.rstrip(".")
    return f"{len({problem.place for problem in items.problems}):,} came back in {path}. {first}"


@click.command(short_help="Print what a file may hold, as JSON.")
@click.option("--kind", "kind_id", help="Only this kind.")
def catalogue(kind_id: str | None) -> None:
    """Print kinds, signals and options as JSON: what a file of items may hold, and how to look."""
    click.echo(json.dumps(catalogue_of(load_rule_book(), kind_id), ensure_ascii=False, indent=2))


@click.command(short_help="Learn prices from a file of sales.")
@click.argument("sales", type=PATH)
@click.option("--out", type=PATH, help="Folder for the prices; the shop's own where left out.")
@FOLDER
@click.option("--note", default="", help="A line to keep with the prices.")
def learn(sales: Path, out: Path | None, folder: Path | None, note: str) -> None:
    """Learn prices from SALES, a CSV or Excel file of items with price and sold_on.

    Rows that cannot be read come back in SALES-came-back.csv and are left out.
    """
    settings = read_settings(folder)
    book = _book_now(settings)
    lesson = learn_from(
        sales, book, ShopTerms.of(settings), along=lambda parts: shown(parts, "Trying")
    )
    place = out or settings.data_folder / OWN_FOLDER
    today = datetime.now(UTC).date()
    manifest = save_model(lesson.model, place, note=note, created=today, data=lesson.data)
    if out is None and records_as_they_are(settings) is not None:
        with open_ledger(settings) as records:
            share_own_prices(records, settings)
    click.echo("\n".join(lesson.summary(book)))
    click.echo(f"Kept as {manifest.model_id} in {place}.")
    came_back = _give_back(lesson.items, sales.with_name(f"{sales.stem}-came-back.csv"))
    if came_back:
        click.echo(f"{came_back}.", err=True)
        raise click.exceptions.Exit(CAME_BACK)
