"""Files of items: good rows become readings, bad ones come back with what to mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import IO

import numpy as np
import numpy.typing as npt

from resale.errors import ItemFileError, ReadingError
from resale.garments.labels.label_names import LabelNames, common_names
from resale.garments.rulebook.gradings import Stitches
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings, asked_only
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Signal
from resale.safety.looks import shipped_looks
from resale.storage.imports.cells.item_cells import (
    LONGEST_TEXT,
    NOT_LOOKED,
    closest,
    folded,
    read_kind,
    read_look,
    read_option,
    read_text,
)
from resale.storage.imports.items.item_columns import Columns, Places, Problem, Problems
from resale.storage.imports.tables.table_files import Table, write_rows

# Text of the shop's own, and how many characters of it there may be.
TEXTS = {"item": 200, "label": 80, "size": 30, "tape": 30, "care": 300, "note": 400}
# What is of use while a thing still hangs, and not asked of what is sold.
BESIDE = ("tape", "care")
SALE_COLUMNS = (
    "taken_in_on",
    "put_out_on",
    "first_ticket",
    "sold_on",
    "price",
    "ticket",
    "price_each",
    "quantity",
    "currency",
    "receipt",
    "consignor",
)
REASON = "reason"

ReadMore = Callable[[Columns], None]
Rows = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class ItemFile:
    """A file of items as read.

    Attributes
    ----------
    good : ndarray of int
        Places in the table of the rows that could be read; all but the problems follow them.
    readings : Readings
    items, sizes, tapes, cares, notes : tuple of str
        Numbers, sizes, what the tape and the care label say, and notes, as the shop writes them;
        an item without a number has its row's.
    problems : tuple of Problem
        In the order of the rows; their rows are not among the good ones.
    """

    table: Table
    good: Places
    readings: Readings
    items: tuple[str, ...]
    sizes: tuple[str, ...]
    tapes: tuple[str, ...]
    cares: tuple[str, ...]
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]
    looks: tuple[Mapping[str, str], ...] = ()

    def write_bad_rows(self, stream: IO[str]) -> None:
        """Write the bad rows with all their cells, the reason first; mended, they can be read."""
        write_back(stream, self.table, self.problems)


def write_back(stream: IO[str], table: Table, problems: Iterable[Problem]) -> None:
    """Write rows that did not come in, with all their cells and why.

    Parameters
    ----------
    problems : iterable of Problem
        In the order of the rows.
    """
    reasons: dict[int, list[str]] = {}
    for problem in problems:
        reasons.setdefault(problem.place, []).append(problem.sentence)
    kept = [place for place, name in enumerate(table.heading) if name != REASON]
    width = len(table.heading)
    rows = table.rows
    write_rows(stream, [(REASON, *(table.heading[place] for place in kept))])
    write_rows(
        stream,
        (
            (" ".join(why), *(rows[row][p] for p in kept if p < len(rows[row])), *rows[row][width:])
            for row, why in reasons.items()
        ),
    )


def known_columns(book: RuleBook) -> tuple[str, ...]:
    """Columns that a file of items or sales may have."""
    looks = shipped_looks().by_id
    return ("kind", *TEXTS, *SALE_COLUMNS, REASON, *book.signal_ids, *looks)


def items_of(
    table: Table,
    book: RuleBook,
    read_more: ReadMore | None = None,
    names: LabelNames | None = None,
) -> ItemFile:
    """Turn a table into readings and problems.

    Parameters
    ----------
    read_more : callable, optional
        Reads further columns of the same rows and adds its own problems.
    """
    _check_columns(table, book)
    problems = Problems(table)
    whole = whole_rows(table, problems)
    columns = Columns(table, whole, problems)
    kinds = columns.read("kind", lambda text: read_kind(text, book), -1).astype(np.intp)
    codes = np.full((len(whole), len(book.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for column in _told_first(book):
        if columns.has(book.signal_ids[column]):
            codes[:, column] = _codes(columns, column, kinds, codes, book)
    texts = {
        name: columns.read(name, partial(read_text, longest=max(LONGEST_TEXT, longest)), "")
        for name, longest in TEXTS.items()
    }
    looks = {
        name: columns.read(name, partial(read_look, look), "")
        for name, look in shipped_looks().by_id.items()
        if columns.has(name)
    }
    if read_more is not None:
        read_more(columns)
    # A label that the shop does not know has one spelling too: the one that it has most often.
    own = LabelNames({**common_names(texts["label"]), **(names or LabelNames()).names})
    kept = ~np.isin(whole, problems.bad())
    good = whole[kept]
    named = zip(good, texts["item"][kept], strict=True)
    sizes, tapes, cares, notes = (tuple(texts[n][kept]) for n in ("size", *BESIDE, "note"))
    return ItemFile(
        table,
        good,
        asked_only(
            book,
            Readings(kinds[kept], codes[kept], tuple(map(own.name_of, texts["label"][kept]))),
        ),
        tuple(name or f"row {table.numbers[place]}" for place, name in named),
        sizes,
        tapes,
        cares,
        notes,
        problems.all(),
        tuple(
            {name: str(said[place]) for name, said in looks.items() if said[place]}
            for place in np.flatnonzero(kept)
        ),
    )


def _check_columns(table: Table, book: RuleBook) -> None:
    known = known_columns(book)
    strange = [name for name in table.heading if name not in known]
    if strange:
        near = closest(strange[0], known)
        more = f" (and {len(strange) - 1} more)" if len(strange) > 1 else ""
        raise ItemFileError(
            f"column {strange[0][:40]!r} is not known{more}",
            where=table.name,
            remedy=f"perhaps {near} is meant" if near else "take it out",
        )
    if "kind" not in table.heading:
        raise ItemFileError(
            "the column kind is missing",
            where=table.name,
            remedy=f"add it, with one of {', '.join(book.kinds)} in each row",
        )


def whole_rows(table: Table, problems: Problems) -> Places:
    """Places of the rows that have a cell for every column.

    Parameters
    ----------
    table : Table
    problems : Problems
        Where rows with too few or too many cells are noted.

    Returns
    -------
    ndarray of int
        From 0, in order.
    """
    width = len(table.heading)
    lengths = np.fromiter(map(len, table.rows), np.intp, len(table.rows))
    for length in np.unique(lengths[lengths != width]):
        fault = ReadingError(
            f"the row has {length} cells where the heading has {width}",
            remedy="put every cell under its heading, and quote a cell that holds the delimiter",
        )
        problems.add(np.flatnonzero(lengths == length), "", fault)
    return np.flatnonzero(lengths == width)


def _told_first(book: RuleBook) -> list[int]:
    """Columns of the signals: those whose measure hangs on another signal come last."""
    hanging = {one.id for kind in book.kinds.values() for one in kind.signals if _told_by(one)}
    return sorted(range(len(book.signal_ids)), key=lambda place: book.signal_ids[place] in hanging)


def _told_by(signal: Signal) -> str | None:
    """The signal that tells by which band a count is graded, if one does."""
    return signal.measure.told_by if isinstance(signal.measure, Stitches) else None


def _sorts(
    kind: Kind, signal_id: str, rows: Rows, codes: npt.NDArray[np.int16], book: RuleBook
) -> Iterator[tuple[dict[str, str], Rows]]:
    """Part rows of a kind by the answer that a measure of this signal hangs on."""
    told = _told_by(kind.by_id[signal_id]) if signal_id in kind.by_id else None
    if told is None:
        yield {}, rows
        return
    given = codes[:, book.signal_ids.index(told)]
    for code in np.unique(given[rows]):
        known = {} if code == NOT_LOOKED_AT else {told: kind.by_id[told].option_ids[code]}
        yield known, rows & (given == code)


def _codes(
    columns: Columns,
    column: int,
    kinds: Places,
    codes: npt.NDArray[np.int16],
    book: RuleBook,
) -> npt.NDArray[np.int16]:
    """Option codes of a signal: each different cell is read once a kind, and a sort of it."""
    signal_id = book.signal_ids[column]
    cells = columns.apart(signal_id)
    says = np.array([folded(cell) not in NOT_LOOKED for cell in cells.texts], dtype=bool)
    found = np.full(len(columns), NOT_LOOKED_AT, dtype=np.int16)
    if not says.any():
        return found
    parts = (
        (kind, *part)
        for number, kind in enumerate(book.kinds.values())
        for part in _sorts(kind, signal_id, kinds == number, codes, book)
    )
    for kind, answers, rows in parts:
        counts = np.bincount(cells.codes[rows], minlength=len(cells.texts))
        read = np.full(len(cells.texts), NOT_LOOKED_AT, dtype=np.int16)
        for place in np.flatnonzero((counts > 0) & says).tolist():
            try:
                read[place] = read_option(cells.texts[place], kind, signal_id, answers)
            except ReadingError as fault:
                held = cells.rows_of(place)
                columns.refuse(signal_id, held[rows[held]], fault)
        found[rows] = read[cells.codes[rows]]
    return found
