"""A shop's own table put into our columns and words, cell by cell, before it is read as sales."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

from resale.config.settings import Settings
from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.amounts import AmountStyle, Mark, read_messy_amount
from resale.storage.imports.column_matcher import Match
from resale.storage.imports.column_memory import Remembered
from resale.storage.imports.dates import DayStyle, First, read_messy_day
from resale.storage.imports.item_cells import folded, read_kind, read_text
from resale.storage.imports.item_columns import Columns, Places, Problems, Values
from resale.storage.imports.item_files import REASON, whole_rows
from resale.storage.imports.sale_files import AMOUNTS, DATES
from resale.storage.imports.table_files import Table

LONGEST = {"item": 200, "label": 80, "size": 30, "note": 200}

Reader = Callable[[str], str]


@dataclass(frozen=True)
class Told:
    """What the user said of a file.

    Attributes
    ----------
    columns : mapping of str to str
        Our column by heading; empty to pass one over.
    words : mapping of (str, str) to str
        Option or kind by our column and the word in its cells; empty for *not looked at*.
    first : {"day", "month"} or None
        Which stands first in dates where the file does not tell.
    decimal : {".", ","} or None
        What stands before the cents where the file does not tell.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[tuple[str, str], str] = field(default_factory=dict)
    first: First | None = None
    decimal: Mark | None = None


@dataclass(frozen=True)
class OurTable:
    """The whole rows of a file in our columns.

    Attributes
    ----------
    table : Table
        What could not be read is an empty cell there, with a problem beside it.
    whole : ndarray of int
        Place of each row in the file.
    problems : Problems
    """

    table: Table
    whole: Places
    problems: Problems


def in_our_words(
    table: Table,
    matches: tuple[Match, ...],
    told: Told,
    known: Remembered,
    book: RuleBook,
    settings: Settings,
    today: date,
) -> OurTable:
    """Put a file into our columns and words.

    Parameters
    ----------
    known : Remembered
        Words of earlier files; what is told now goes before them.
    """
    problems = Problems(table)
    whole = whole_rows(table, problems)
    columns = Columns(table, whole, problems)
    told_now = {(about, folded(word)): means for (about, word), means in told.words.items()}
    words = {**known.words, **told_now}
    used = [match for match in matches if match.column and match.column != REASON]
    cells: list[Values] = []
    for match in used:
        own = {word: means for (about, word), means in words.items() if about == match.column}
        texts = columns.apart(match.heading).texts if len(columns) else []
        reader = _reader(match.column, texts, own, told, book, settings, today)
        cells.append(columns.read(match.heading, reader, ""))
    rows = [list(row) for row in zip(*cells, strict=True)]
    numbers = [table.numbers[place] for place in whole]
    ours = Table(table.name, tuple(match.column for match in used), rows, numbers)
    return OurTable(ours, whole, problems)


def _reader(
    column: str,
    texts: list[str],
    words: Mapping[str, str],
    told: Told,
    book: RuleBook,
    settings: Settings,
    today: date,
) -> Reader:
    """How a cell of this column becomes one of ours."""
    if column in DATES:
        days = DayStyle.of(texts, told.first)
        return _unless_empty(
            lambda text: read_messy_day(text, days, today, settings.locale).isoformat()
        )
    if column in AMOUNTS:
        style = AmountStyle.of(texts, settings.money, told.decimal)
        return _unless_empty(lambda text: f"{read_messy_amount(text, style):f}")
    if column == "kind":
        return lambda text: _kind(text, words, book)
    if column in LONGEST:
        return lambda text: _short(text, column)
    return lambda text: words.get(folded(text), text)


def _unless_empty(reader: Reader) -> Reader:
    return lambda text: reader(text) if text.strip() else ""


def _kind(text: str, words: Mapping[str, str], book: RuleBook) -> str:
    """A kind by its id or name, by what the shop calls it, or by what the book says it includes."""
    if words.get(folded(text)):
        text = words[folded(text)]
    including = [
        kind.id
        for kind in book.kinds.values()
        if folded(text) in {folded(one) for one in kind.text.includes}
    ]
    if len(including) == 1:
        return including[0]
    return list(book.kinds)[read_kind(text, book)]


def _short(text: str, column: str) -> str:
    plain = read_text(text)
    if len(plain) > LONGEST[column]:
        raise ReadingError(
            f"the {column} has {len(plain)} characters, more than {LONGEST[column]}",
            remedy="shorten it",
        )
    return plain
