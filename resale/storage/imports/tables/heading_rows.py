"""Where the headings of a table stand: below title rows, over one row or two.

A heading over several columns, merged in a spreadsheet, is an empty cell beside its text; it goes
before what stands below it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from resale.storage.imports.words.word_lists import headings_by_key, word_key

LOOKED_AT = 25
_FIGURES = re.compile(r"\d")


@dataclass(frozen=True)
class Heading:
    """The headings of a table.

    Attributes
    ----------
    first, rows : int
        Place of its first row, and how many rows it takes.
    names : tuple of str
        One a column, each different.
    known : int
        How many are words that columns are headed with.
    """

    first: int
    rows: int
    names: tuple[str, ...]
    known: int

    @property
    def below(self) -> int:
        """Place of the first row of the table itself."""
        return self.first + self.rows


def find_heading(rows: Sequence[Sequence[str]], known: Collection[str]) -> Heading:
    """Find the headings among the first rows of a file.

    Parameters
    ----------
    rows : sequence of rows of cells
        None of them empty.
    known : collection of str
        Further words that columns may be headed with.
    """
    keys = {word_key(word) for word in known} | set(headings_by_key())
    # The last row is left to the table; a file of one row is all heading.
    head = rows[: max(1, min(LOOKED_AT, len(rows) - 1))]
    found = [_one_row(place, row, keys) for place, row in enumerate(head)]
    found += [
        _two_rows(place, head[place], head[place + 1], keys) for place in range(len(head) - 1)
    ]
    # Of equals the one higher up, and one row rather than two.
    best = max(found, key=lambda one: (one.known, -one.rows, -one.first))
    if best.known < 2:
        grouped = (one for one in found if one.rows == 2 and _is_grouped(one, rows))
        wide = (one for one in found if _is_wide(one, rows))
        best = next(grouped, None) or next(wide, found[0])
    return best


def _one_row(place: int, row: Sequence[str], keys: Collection[str]) -> Heading:
    return _heading(place, 1, [cell.strip() for cell in row], keys)


def _two_rows(
    place: int, upper: Sequence[str], lower: Sequence[str], keys: Collection[str]
) -> Heading:
    """Join a row of groups with the row below it."""
    if any(map(_FIGURES.search, lower)) or sum(1 for cell in upper if cell.strip()) < 2:
        return Heading(place, 2, (), -1)
    width = max(len(upper), len(lower))
    above, below = ([*row, *[""] * (width - len(row))] for row in (upper, lower))
    again = Counter(cell.strip().casefold() for cell in below)
    names, group = [], ""
    for one, other in zip(above, below, strict=True):
        group = one.strip() or group
        name = other.strip()
        if not name:
            names.append(one.strip())
        elif word_key(name) in keys and again[name.casefold()] == 1:
            names.append(name)
        else:
            names.append(f"{group} {name}".strip())
    return _heading(place, 2, names, keys)


def _heading(place: int, rows: int, cells: Sequence[str], keys: Collection[str]) -> Heading:
    known = len({word_key(cell) for cell in cells if cell} & set(keys))
    return Heading(place, rows, _different(cells), known)


def _different(cells: Sequence[str]) -> tuple[str, ...]:
    """Name what has no name by its place, and number what stands twice."""
    met: Counter[str] = Counter()
    names = []
    for place, cell in enumerate(cells):
        name = " ".join(cell.split()) or f"column {place + 1}"
        met[name.casefold()] += 1
        again = met[name.casefold()]
        names.append(name if again == 1 else f"{name} {again}")
    return tuple(names)


def _is_wide(heading: Heading, rows: Sequence[Sequence[str]]) -> bool:
    """Whether a row is as wide as the table below it, and holds no figures."""
    if heading.rows == 2:
        return False
    usual = Counter(len(row) for row in rows[heading.first :]).most_common(1)[0][0]
    return len(heading.names) >= usual and not any(map(_FIGURES.search, rows[heading.first]))


def _is_grouped(heading: Heading, rows: Sequence[Sequence[str]]) -> bool:
    """Whether a row with gaps stands over one without, as merged headings do."""
    if not heading.names:
        return False
    upper, lower = rows[heading.first], rows[heading.first + 1]
    return any(not cell.strip() for cell in upper) and all(cell.strip() for cell in lower)
