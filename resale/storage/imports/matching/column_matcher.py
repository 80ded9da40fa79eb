"""Which column of a shop's own file is which of ours: a proposal, for the user to confirm."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rapidfuzz import fuzz, process

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.cells.item_cells import closest, folded
from resale.storage.imports.items.item_files import REASON, known_columns
from resale.storage.imports.matching.column_memory import Remembered
from resale.storage.imports.matching.match_cells import How, Match, looked_over
from resale.storage.imports.tables.table_files import Table
from resale.storage.imports.words.word_lists import headings_by_key, usual_words, word_key

EXAMPLES = 3
# Of 100; below this a likeness is more often chance than meaning, as tried on headings by hand.
LIKE_ENOUGH = 86.0


def propose(
    table: Table,
    book: RuleBook,
    known: Remembered | None = None,
    told: Mapping[str, str] | None = None,
) -> tuple[Match, ...]:
    """Propose a match for every column of a file.

    Parameters
    ----------
    known : Remembered, optional
        What was confirmed for earlier files.
    told : mapping of str to str, optional
        What the user says: our column by heading, empty to pass one over. It goes before all else.

    Returns
    -------
    tuple of Match
        In the order of the file; no two have the same column of ours.

    Raises
    ------
    ItemFileError
        If the user names a heading or a column that is not there, or one column twice.
    """
    chosen = _checked(table, book, told or {})
    recalled = (known or Remembered()).headings
    found: dict[str, tuple[str, How]] = {h: (column, "told") for h, column in chosen.items()}
    taken = {column for column in chosen.values() if column}
    for heading, column, how in _likely(table, book, recalled):
        if heading in found or column in taken:
            continue
        found[heading] = (column, how)
        if column:
            taken.add(column)
    matches = tuple(
        Match(heading, *found.get(heading, ("", "passed over")), _examples(table, place))
        for place, heading in enumerate(table.heading)
    )
    return looked_over(matches, table, book)


def expected_headings(book: RuleBook) -> tuple[str, ...]:
    """Headings that tell which delimiter a file uses."""
    names = (signal.name for kind in book.kinds.values() for signal in kind.signals)
    return (*known_columns(book), *names)


def _likely(
    table: Table, book: RuleBook, recalled: Mapping[str, str]
) -> Iterator[tuple[str, str, How]]:
    """Columns that a heading may be, the surest way of telling first."""
    columns = known_columns(book)
    for heading in table.heading:
        if folded(heading) in recalled and recalled[folded(heading)] in ("", *columns):
            yield heading, recalled[folded(heading)], "remembered"
    for heading in table.heading:
        if _plain(heading).replace(" ", "_") in columns:
            yield heading, _plain(heading).replace(" ", "_"), "same name"
    usual = headings_by_key()
    ranked = [
        (usual[word_key(heading)], place, heading)
        for place, heading in enumerate(table.heading)
        if word_key(heading) in usual
    ]
    for (column, _), _, heading in sorted(ranked, key=lambda one: (one[0][1], one[1])):
        yield heading, column, "usual word"
    yield from _alike(table, {**_signal_names(book), **_usual_plain()})


def _alike(table: Table, names: Mapping[str, str]) -> Iterator[tuple[str, str, How]]:
    """Columns by likeness, the likest first."""
    near = []
    for heading in table.heading:
        for name, score, _ in process.extract(
            _plain(heading), tuple(names), scorer=fuzz.ratio, score_cutoff=LIKE_ENOUGH, limit=3
        ):
            near.append((-score, heading, names[name]))
    for _, heading, column in sorted(near):
        yield heading, column, "much like"


def _usual_plain() -> dict[str, str]:
    return {_plain(word): column for column, words in usual_words().items() for word in words}


def _signal_names(book: RuleBook) -> dict[str, str]:
    names: dict[str, str] = {}
    for kind in book.kinds.values():
        for signal in kind.signals:
            names.setdefault(_plain(signal.name), signal.id)
    names |= {_plain(column): column for column in known_columns(book) if column != REASON}
    return names


def _plain(heading: str) -> str:
    """Give words alone: ``Sold-for (EUR)`` and ``sold_for`` are the same."""
    without = re.sub(r"\([^)]*\)", " ", folded(heading))
    return " ".join(re.sub(r"[\W_]+", " ", without).split())


def _checked(table: Table, book: RuleBook, told: Mapping[str, str]) -> dict[str, str]:
    chosen: dict[str, str] = {}
    for heading, column in told.items():
        name = heading.strip().casefold()
        if name not in table.heading:
            raise _strange(f"there is no column {heading[:40]!r}", name, table.heading, table)
        if column and column not in known_columns(book):
            known = known_columns(book)
            raise _strange(f"{column[:40]!r} is no column of ours", column, known, table)
        if column and column in chosen.values():
            raise ItemFileError(
                f"two columns are matched with {column}",
                where=table.name,
                remedy="match one of them with nothing",
            )
        chosen[name] = column
    return chosen


def _strange(what: str, word: str, known: tuple[str, ...], table: Table) -> ItemFileError:
    near = closest(word, known)
    shown = ", ".join(known[:12])
    remedy = f"perhaps {near} is meant" if near else f"use one of {shown}"
    return ItemFileError(what, where=table.name, remedy=remedy)


def _examples(table: Table, place: int) -> tuple[str, ...]:
    cells: dict[str, None] = {}
    for row in table.rows:
        if place < len(row) and row[place].strip():
            cells[row[place].strip()[:60]] = None
        if len(cells) == EXAMPLES:
            break
    return tuple(cells)
