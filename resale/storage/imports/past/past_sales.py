"""Bring your own past: a dry run over a file of past sales, whatever its headings and habits."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import IO

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.db.tables import ImportRun
from resale.storage.imports.cells.past_cells import Reading, Told
from resale.storage.imports.items.item_columns import Problem
from resale.storage.imports.items.item_files import write_back
from resale.storage.imports.matching.column_memory import remembered
from resale.storage.imports.past.own_sales import read_own_sales
from resale.storage.imports.past.past_rows import PastRow, past_rows
from resale.storage.imports.past.past_sorting import Sorted, Why, sorted_out
from resale.storage.imports.past.past_trial import (
    ColumnTried,
    UnknownWord,
    Words,
    guessed_words,
    tried_columns,
    unknown_words,
)
from resale.storage.imports.past.rates import stated_rates
from resale.storage.imports.tables.table_files import Table


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
        Rows left out because an equal one stands above them.
    known : int
        Rows that are in the records already, by this file or another.
    bad : int
        Rows that come back with a reason.
    odd : int
        Rows whose price somebody should look at first.
    told : int
        Rows left out because the user said so of a word in them.
    """

    rows: int
    fresh: int
    doubles: int
    known: int
    bad: int
    odd: int = 0
    told: int = 0


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
    guessed : tuple of UnknownWord
        Words for kinds that were taken for what they usually mean, which stands as the nearest.
    problems : tuple of Problem
        Every reason for which a row comes back, in the order of the rows.
    left : mapping of str to list of Problem
        Rows that are left out, by why: an equal row, a known sale, an odd price, the user's word.
    table : Table
        The file as it was read.
    """

    name: str
    digest: str
    loaded_before: str | None
    told: Told
    columns: tuple[ColumnTried, ...]
    counts: Counts
    unknown: tuple[UnknownWord, ...]
    guessed: tuple[UnknownWord, ...]
    rows: tuple[PastRow, ...]
    problems: tuple[Problem, ...]
    left: Mapping[Why, list[Problem]]
    table: Table

    def write_bad_rows(self, stream: IO[str]) -> None:
        """Write the rows that did not come in as they stood, the reason first."""
        out = (*self.problems, *(one for rows in self.left.values() for one in rows))
        write_back(stream, self.table, sorted(out, key=lambda problem: problem.place))


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
    reading = Reading(told, remembered(engine), book, settings, today, stated_rates(engine))
    own = read_own_sales(content, name, reading)
    table, matches, ours, sales = own.table, own.matches, own.ours, own.sales
    problems = own.problems
    refused = {problem.place for problem in problems}
    decimals = settings.money.decimals
    rows = past_rows(sales, ours.whole, book, decimals, ours.was)
    good = [row for row in rows if row.place not in refused]
    digest = hashlib.sha256(content).hexdigest()
    with Session(engine) as session:
        found = sorted_out(session, good, table, digest, told, settings.money)
    left = {**found.left, "told": [one for one in problems if one.told]}
    bad = sorted(
        (*(one for one in problems if not one.told), *found.clashes), key=lambda one: one.place
    )
    return DryRun(
        name,
        digest,
        _loaded_before(engine, digest),
        told,
        tried_columns(table, matches, ours, sales, Words(book, settings.money)),
        _counted(table, found, bad, left),
        unknown_words(table, matches, tuple(bad), book),
        guessed_words(table, matches, ours, book),
        found.fresh,
        tuple(bad),
        {why: rows for why, rows in left.items() if rows},
        table,
    )


def _counted(
    table: Table, found: Sorted, bad: Sequence[Problem], left: Mapping[Why, Sequence[Problem]]
) -> Counts:
    def rows_of(why: Why) -> int:
        return len({one.place for one in left.get(why, ())})

    return Counts(
        len(table.rows),
        len(found.fresh),
        rows_of("equal"),
        rows_of("known") + found.loaded,
        len({one.place for one in bad}),
        rows_of("odd"),
        rows_of("told"),
    )


def _loaded_before(engine: Engine, digest: str) -> str | None:
    with Session(engine) as session:
        run = session.scalar(select(ImportRun).where(ImportRun.digest == digest))
    if run is None:
        return None
    return (
        f"This file was loaded on {run.made_at.date()} as {run.name}; none of its rows comes in "
        "twice. What was left out can still be brought in."
    )
