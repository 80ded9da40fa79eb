"""A shop's own table put into our columns and words, cell by cell, before it is read as sales."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np

from resale.config.settings import Settings
from resale.errors import ReadingError
from resale.garments.measures.length import parse_length
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.cells.amounts import Mark
from resale.storage.imports.cells.dates import DayStyle, First, read_messy_day
from resale.storage.imports.cells.item_cells import LONGEST_TEXT, folded, read_kind, read_text
from resale.storage.imports.cells.money_cells import MoneyCells, MoneyReader
from resale.storage.imports.items.item_columns import (
    Columns,
    LeftOutError,
    Places,
    Problem,
    Problems,
    Values,
)
from resale.storage.imports.items.item_files import REASON, TEXTS, whole_rows
from resale.storage.imports.matching.column_memory import Remembered
from resale.storage.imports.matching.match_cells import EACH_OR_ALL, Match
from resale.storage.imports.past.rates import Rates
from resale.storage.imports.past.sale_files import AMOUNTS, DATES
from resale.storage.imports.tables.excel_days import Epoch
from resale.storage.imports.tables.table_files import Table
from resale.storage.imports.words.word_lists import kind_in_words

LONGEST = {**TEXTS, "receipt": 40, "consignor": 80}
MONEY = (*AMOUNTS, "price_each", "quantity", "currency")

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
    codec : str or None
        How its letters are read, where that was told wrongly.
    once : bool
        Whether rows that are equal in all cells are one sale, and not several.
    take : frozenset of str
        Which of the rows that would be left out come in too: ``known``, ``odd``.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[tuple[str, str], str] = field(default_factory=dict)
    first: First | None = None
    decimal: Mark | None = None
    codec: str | None = None
    once: bool = False
    take: frozenset[str] = frozenset()


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
    was : mapping of int to mapping
        What a row, by its place here, said in another currency.
    """

    table: Table
    whole: Places
    problems: Problems
    was: Mapping[int, Mapping[str, str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Reading:
    """By what a file is read.

    Attributes
    ----------
    known : Remembered
        Words of earlier files; what is told now goes before them.
    rates : Rates
        What other currencies are worth.
    """

    told: Told
    known: Remembered
    book: RuleBook
    settings: Settings
    today: date
    rates: Rates = field(default_factory=Rates)

    def words(self, column: str) -> Mapping[str, str]:
        """What words in a column of ours mean."""
        told = {(about, folded(word)): means for (about, word), means in self.told.words.items()}
        words = {**self.known.words, **told}
        return {word: means for (about, word), means in words.items() if about == column}


def in_our_words(
    table: Table, matches: tuple[Match, ...], by: Reading, leave: Collection[str] = ()
) -> OurTable:
    """Put a file into our columns and words.

    Parameters
    ----------
    matches : tuple of Match
        One a column.
    by : Reading
    leave : collection of str
        Columns of ours that this use of the file does not ask for.
    """
    problems = Problems(table)
    whole = whole_rows(table, problems)
    columns = Columns(table, whole, problems)
    wanted = {REASON, *leave}
    headings = {
        one.column: one.heading for one in matches if one.column and one.column not in wanted
    }
    cells: dict[str, Values] = {}
    for column, heading in headings.items():
        if column not in MONEY:
            texts = columns.apart(heading).texts if len(columns) else []
            cells[column] = columns.read(heading, _reader(column, texts, by, table.epoch), "")
    either = [one.heading for one in matches if one.how == EACH_OR_ALL and one.column == "price"]
    money = _money(columns, headings, cells, by, *either)
    cells |= money.amounts
    if money.quantity is not None:
        cells["quantity"] = np.array([str(one) for one in money.quantity], dtype=object)
    rows = [list(row) for row in zip(*cells.values(), strict=True)]
    numbers = [table.numbers[place] for place in whole]
    sheets = [table.sheets[place] for place in whole] if table.sheets else []
    ours = Table(table.name, tuple(cells), rows, numbers, sheets)
    return OurTable(ours, whole, problems, money.was)


def all_problems(
    ours: OurTable, later: Iterable[Problem], matches: tuple[Match, ...]
) -> tuple[Problem, ...]:
    """Problems of cells and of what the cells mean, under the file's own headings.

    Parameters
    ----------
    later : iterable of Problem
        Met in the table in our words.
    """
    heading = {match.column: match.heading for match in matches if match.column}
    first = ours.problems.all()
    told = {(problem.place, problem.column) for problem in first}
    moved = (
        replace(
            problem,
            place=int(ours.whole[problem.place]),
            column=heading.get(problem.column, problem.column),
        )
        for problem in later
    )
    # A cell that could not be read is empty now; that it is empty is no news.
    news = (problem for problem in moved if (problem.place, problem.column) not in told)
    return tuple(sorted((*first, *news), key=lambda problem: problem.place))


def _money(
    columns: Columns,
    headings: Mapping[str, str],
    cells: Mapping[str, Values],
    by: Reading,
    either: str = "",
) -> MoneyCells:
    said = cells.get("sold_on", np.full(len(columns), "", dtype=object))
    days = np.array([date.fromisoformat(one) if one else by.today for one in said], dtype=object)
    money, mark = by.settings.money, by.told.decimal
    reader = MoneyReader(columns, headings, money, mark, by.rates, days, either)
    return reader.read(AMOUNTS)


def _reader(column: str, texts: list[str], by: Reading, epoch: Epoch) -> Reader:
    """How a cell of this column becomes one of ours."""
    if column in DATES:
        days = DayStyle.of(texts, by.told.first, epoch)
        return _unless_empty(
            lambda text: read_messy_day(text, days, by.today, by.settings.locale).isoformat()
        )
    words = by.words(column)
    if column == "kind":
        return lambda text: _kind(text, words, by.book)
    if column == "tape":
        return _unless_empty(_length)
    if column in LONGEST:
        return lambda text: _short(text, column)
    return lambda text: words.get(folded(text), text)


def _unless_empty(reader: Reader) -> Reader:
    return lambda text: reader(text) if text.strip() else ""


def _kind(text: str, words: Mapping[str, str], book: RuleBook) -> str:
    """A kind by its id or name, by what the shop calls it, or by what such words usually mean."""
    means = words.get(folded(text))
    if means == "":
        raise LeftOutError(
            f"you said to leave {text.strip()[:40]} out", remedy="say what it is, to bring it in"
        )
    spoken = kind_in_words(means or text, book)
    return spoken or list(book.kinds)[read_kind(means or text, book)]


def _length(text: str) -> str:
    plain = _short(text, "tape")
    parse_length(plain)
    return plain


def _short(text: str, column: str) -> str:
    plain = read_text(text, max(LONGEST_TEXT, LONGEST[column]))
    if len(plain) > LONGEST[column]:
        raise ReadingError(
            f"the {column} has {len(plain)} characters, more than {LONGEST[column]}",
            remedy="shorten it",
        )
    return plain
