"""Bring your own past: a dry run over a file of past sales, whatever its headings and habits."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import IO

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.errors import ItemFileError, ReadingError
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.db.tables import ImportRun, ItemRow
from resale.storage.imports.column_matcher import USUAL_WORDS, Match, propose
from resale.storage.imports.column_memory import remembered
from resale.storage.imports.item_columns import Problem
from resale.storage.imports.item_files import ItemFile, known_columns
from resale.storage.imports.past_cells import OurTable, Told, in_our_words
from resale.storage.imports.past_rows import PastRow, past_rows
from resale.storage.imports.past_trial import (
    ColumnTried,
    UnknownWord,
    Words,
    tried_columns,
    unknown_words,
)
from resale.storage.imports.sale_files import NEEDED, SaleFile, sales_of
from resale.storage.imports.table_files import Table, table_from_bytes

# The most that SQLite takes in one question.
AT_ONCE = 500


@dataclass(frozen=True)
class Counts:
    """Rows of a file.

    Attributes
    ----------
    rows : int
        All of them.
    fresh : int
        Past sales that a load adds.
    doubles : int
        Rows that stand earlier in the same file, word for word.
    known : int
        Rows that are in the records already.
    bad : int
        Rows that come back with a reason.
    """

    rows: int
    fresh: int
    doubles: int
    known: int
    bad: int


@dataclass(frozen=True)
class DryRun:
    """What loading a file would do; nothing is written yet.

    Attributes
    ----------
    digest : str
        SHA-256 of the file.
    loaded_before : str or None
        Sentence, where this very file was loaded before: then a load adds nothing.
    columns : tuple of ColumnTried
        What each column is taken for, and examples of what its cells became.
    unknown : tuple of UnknownWord
        Words that nobody said the meaning of, the most frequent first.
    """

    name: str
    digest: str
    loaded_before: str | None
    told: Told
    columns: tuple[ColumnTried, ...]
    counts: Counts
    unknown: tuple[UnknownWord, ...]
    rows: tuple[PastRow, ...]
    items: ItemFile

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Every reason for which a row comes back, in the order of the rows."""
        return self.items.problems

    def write_bad_rows(self, stream: IO[str]) -> None:
        """Write the bad rows as they stood, the reason first; mended, they can be loaded."""
        self.items.write_bad_rows(stream)


def dry_run(
    engine: Engine,
    content: bytes,
    name: str,
    book: RuleBook,
    settings: Settings,
    today: date,
    told: Told | None = None,
) -> DryRun:
    """Read a file of past sales without writing anything.

    Parameters
    ----------
    content : bytes
        Of a CSV or Excel file with a row for each sale.
    today : date
        Days after tomorrow are refused.
    told : Told, optional
        What the user said of it so far.

    Raises
    ------
    ItemFileError
        If the file as a whole cannot be read, or no column is matched with one that is needed.
    """
    told = told or Told()
    known = remembered(engine)
    table = table_from_bytes(content, name, expected_headings(book))
    matches = propose(table, book, known, told.columns)
    _check_needed(matches, table)
    ours = in_our_words(table, matches, told, known, book, settings, today)
    sales = sales_of(ours.table, book)
    problems = _all_problems(ours, sales, matches)
    digest = hashlib.sha256(content).hexdigest()
    bad = {problem.place for problem in problems}
    rows = past_rows(sales, ours.whole, book, settings.money.decimals)
    good = [row for row in rows if row.place not in bad]
    fresh, doubles, seen, clashes = _sorted_out(engine, good, table)
    problems = tuple(sorted((*problems, *clashes), key=lambda problem: problem.place))
    bad_rows = len({problem.place for problem in problems})
    return DryRun(
        name,
        digest,
        _loaded_before(engine, digest),
        told,
        tried_columns(table, matches, ours, sales, Words(book, settings.money)),
        Counts(len(table.rows), len(fresh), doubles, seen, bad_rows),
        unknown_words(table, matches, problems, book),
        tuple(fresh),
        replace(sales.items, table=table, problems=problems),
    )


def expected_headings(book: RuleBook) -> tuple[str, ...]:
    """Headings that tell which delimiter a file uses."""
    usual = (word for words in USUAL_WORDS.values() for word in words)
    return (*known_columns(book), *usual)


def _check_needed(matches: tuple[Match, ...], table: Table) -> None:
    matched = {match.column for match in matches}
    for column in ("kind", *NEEDED):
        if column not in matched:
            free = [match.heading for match in matches if not match.column]
            raise ItemFileError(
                f"no column is taken for {column}",
                where=table.name,
                remedy=f"say which it is: {', '.join(free[:8])}" if free else "add that column",
            )


def _all_problems(
    ours: OurTable, sales: SaleFile, matches: tuple[Match, ...]
) -> tuple[Problem, ...]:
    """Problems of cells and of what the cells mean, under the file's own headings."""
    heading = {match.column: match.heading for match in matches if match.column}
    first = ours.problems.all()
    told = {(problem.place, problem.column) for problem in first}
    later = (
        replace(
            problem,
            place=int(ours.whole[problem.place]),
            column=heading.get(problem.column, problem.column),
        )
        for problem in sales.items.problems
    )
    # A cell that could not be read is empty now; that it is empty is no news.
    news = (problem for problem in later if (problem.place, problem.column) not in told)
    return tuple(sorted((*first, *news), key=lambda problem: problem.place))


def _sorted_out(
    engine: Engine, rows: Sequence[PastRow], table: Table
) -> tuple[list[PastRow], int, int, list[Problem]]:
    """Part fresh rows from doubles, rows known already, and numbers used for something else."""
    keys = {row.place: row.key for row in rows}
    with Session(engine) as session:
        known = known_keys(session, keys.values())
        taken = used_numbers(session, {row.item for row in rows if row.item})
    fresh: list[PastRow] = []
    counts: Counter[str] = Counter()
    met: set[str] = set()
    own: dict[str, int] = {}
    clashes = []
    for row in rows:
        key = keys[row.place]
        if key in met:
            counts["doubles"] += 1
            continue
        met.add(key)
        if key in known:
            counts["known"] += 1
        elif row.item and (row.item in own or row.item in taken):
            clashes.append(_clash(row, own, table))
        else:
            fresh.append(row)
            own[row.item] = table.numbers[row.place]
    return fresh, counts["doubles"], counts["known"], clashes


def _clash(row: PastRow, own: dict[str, int], table: Table) -> Problem:
    if row.item in own:
        where = f"stands in row {own[row.item]} too, with other values"
        remedy = "keep the right one of both, or give one another number"
    else:
        where = "is in the records already, with other values"
        remedy = "give it another number, or record this sale in the Ledger"
    fault = ReadingError(f"item {row.item} {where}", remedy=remedy)
    return Problem(row.place, table.numbers[row.place], "", fault.what, fault.remedy)


def known_keys(session: Session, keys: Iterable[str]) -> set[str]:
    """Which of these rows are in the records already."""
    found: set[str] = set()
    for part in _parts(keys):
        found.update(
            session.scalars(select(ItemRow.client_key).where(ItemRow.client_key.in_(part)))
        )
    return found


def used_numbers(session: Session, numbers: Iterable[str]) -> set[str]:
    """Which of these numbers belong to an item already."""
    found: set[str] = set()
    for part in _parts(numbers):
        found.update(session.scalars(select(ItemRow.number).where(ItemRow.number.in_(part))))
    return found


def _parts(words: Iterable[str]) -> Iterable[list[str]]:
    listed = list(words)
    return (listed[start : start + AT_ONCE] for start in range(0, len(listed), AT_ONCE))


def _loaded_before(engine: Engine, digest: str) -> str | None:
    with Session(engine) as session:
        run = session.scalar(select(ImportRun).where(ImportRun.digest == digest))
    if run is None:
        return None
    return (
        f"This file was loaded on {run.made_at.date()} as {run.name}; loading it again adds "
        "nothing. Mend the rows that came back, and load those."
    )
