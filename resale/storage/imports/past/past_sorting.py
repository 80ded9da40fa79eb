"""Which sales of a file are new, which are in the records, and which somebody should look at.

Equal rows of one file are different sales, unless its owner says otherwise: a till that writes
kind, price and day alone has many. A sale of another file that is equal to one in the records is
left out until the owner brings it in; a row that this very file brought before never comes twice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.money import Money
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.items.item_columns import Problem, problem_at
from resale.storage.imports.past.past_keys import known_keys, loaded_places, used_numbers
from resale.storage.imports.past.past_rows import PastRow
from resale.storage.imports.tables.table_files import Table

Why = Literal["equal", "known", "odd", "told"]
# Opinions: a price is asked about from so many times what the rows of its kind bring, and so many
# of their robust spreads, where there are enough of them; and figures of nines from here on.
TIMES, SPREADS, LEAST_SPREAD, ENOUGH = 30.0, 8.0, 0.35, 8
NINES = 9_999


@dataclass(frozen=True)
class Sorted:
    """The sales of a file, sorted.

    Attributes
    ----------
    fresh : tuple of PastRow
        What a load adds.
    loaded : int
        Rows that this very file brought before.
    left : mapping of str to list of Problem
        Rows that are left out, by why; each says so, and how to bring it in.
    clashes : list of Problem
        Numbers used for something else.
    """

    fresh: tuple[PastRow, ...] = ()
    loaded: int = 0
    left: dict[Why, list[Problem]] = field(default_factory=dict)
    clashes: list[Problem] = field(default_factory=list)


def sorted_out(
    session: Session, rows: Sequence[PastRow], table: Table, digest: str, told: Told, money: Money
) -> Sorted:
    """Part what is fresh from what is left out.

    Parameters
    ----------
    digest : str
        SHA-256 of the file.
    told : Told
        What the user said of it, such as to take some in that would be left out.
    """
    numbered = _numbered(rows, once=told.once)
    loaded = loaded_places(session, digest)
    known = known_keys(session, _keys(numbered))
    taken = used_numbers(session, {row.item for row in rows if row.item})
    odd = set() if "odd" in told.take else _odd_places(rows, money)
    found = Sorted(loaded=len({row.place for row in rows if row.place in loaded}))
    fresh: list[PastRow] = []
    own: dict[str, int] = {}
    for row in numbered:
        if row.place in loaded:
            continue
        why = _why(row, known, odd, told)
        if why == "known" and "known" in told.take:
            row = replace(row, batch=digest[:12])  # noqa: PLW2901 - it is known by another key
            why = "known" if row.key in known else None
        if why is not None:
            _leave(found, why, row, table)
        elif row.item and (row.item in own or row.item in taken):
            found.clashes.append(_clash(row, own, table))
        else:
            fresh.append(row)
            own[row.item] = row.place
    return replace(found, fresh=tuple(fresh))


def _numbered(rows: Sequence[PastRow], *, once: bool) -> list[PastRow]:
    """Count equal sales; -1 marks one that is a repetition."""
    met: Counter[str] = Counter()
    places: dict[str, int] = {}
    numbered = []
    for row in rows:
        like = row.likeness
        first = places.setdefault(like, row.place)
        # A number names one thing: the same number with the same cells is the same sale.
        double = row.place != first and (once or bool(row.item))
        numbered.append(replace(row, again=-1 if double else met[like]))
        met[like] += not double
    return numbered


def _keys(rows: Iterable[PastRow]) -> Iterable[str]:
    for row in rows:
        yield row.key
        if row.again == 0:
            yield row.former_key


def _why(row: PastRow, known: set[str], odd: set[int], told: Told) -> Why | None:
    if row.again < 0:
        return "equal"
    if row.key in known or (row.again == 0 and row.former_key in known):
        return "known"
    return "odd" if row.place in odd else None


def _leave(found: Sorted, why: Why, row: PastRow, table: Table) -> None:
    what, remedy = {
        "equal": ("an equal row stands above it", "leave it, or say that equal rows are several"),
        "known": ("an equal sale is in the records", "leave it, or say that it is another sale"),
        "odd": (
            "the price is far from what such things bring here",
            "mend it, or say that it is right",
        ),
        "told": ("it is to be left out", "say otherwise"),
    }[why]
    held = found.left.setdefault(why, [])
    if not held or held[-1].place != row.place:
        held.append(problem_at(table, row.place, "", ReadingError(what, remedy=remedy)))


def _odd_places(rows: Sequence[PastRow], money: Money) -> set[int]:
    """Rows whose price is so far above those of its kind that it may be a slip."""
    found = {row.place for row in rows if _is_nines(row.price // 10**money.decimals)}
    by_kind: dict[str, list[PastRow]] = {}
    for row in rows:
        by_kind.setdefault(row.kind, []).append(row)
    for own in by_kind.values():
        log = np.log([row.price for row in own])
        if len(log) < ENOUGH:
            continue
        middle = np.median(log)
        spread = max(1.4826 * float(np.median(np.abs(log - middle))), LEAST_SPREAD)
        far = log - middle > max(np.log(TIMES), SPREADS * spread)
        found |= {own[place].place for place in np.flatnonzero(far)}
    return found


def _is_nines(amount: int) -> bool:
    return amount >= NINES and set(str(amount)) == {"9"}


def _clash(row: PastRow, own: dict[str, int], table: Table) -> Problem:
    if row.item in own:
        where = f"stands in row {table.numbers[own[row.item]]} too, with other values"
        remedy = "keep the right one of both, or give one another number"
    else:
        where = "is in the records already, with other values"
        remedy = "give it another number, or record this sale in the Ledger"
    fault = ReadingError(f"item {row.item} {where}", remedy=remedy)
    return problem_at(table, row.place, "", fault)
