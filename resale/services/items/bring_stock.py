"""What stands in the shop already comes in by file: tried first, then all of it or nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.items.marks_off import marks_off
from resale.services.items.save_item import to_save
from resale.services.items.stock_rows import StockRow, rows_aside, rows_of
from resale.services.items.stock_without_kind import (
    problems_left,
    rows_without_kind,
)
from resale.services.settlement.entered import enter_items
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.imports.cells.past_cells import Reading, Told
from resale.storage.imports.items.item_columns import Problem, problem_at
from resale.storage.imports.items.own_items import OwnItems, read_own_items
from resale.storage.imports.matching.column_memory import Remembered, remember, remembered
from resale.storage.imports.matching.match_cells import to_remember
from resale.storage.imports.past.past_keys import known_keys, used_numbers
from resale.storage.imports.past.rates import stated_rates
from resale.storage.imports.words.word_lists import headings_by_key, word_key
from resale.storage.items.label_rows import all_names
from resale.storage.items.new_save import NewSave
from resale.storage.items.save import save_items
from resale.storage.ledger.brought import brings
from resale.storage.ledger.consignors import consignors
from resale.storage.ledger.hold_rows import open_rows
from resale.storage.ledger.ledger import item_row
from resale.storage.ledger.standing_before import write_standing

ASKED = ("taken_in_on", "put_out_on", "ticket", "consignor", "quantity")
LONGEST_NUMBER = 20
_OURS = re.compile(r"Q-(\d{5,7})")

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class StockTrial:
    """What bringing a file of stock would do; nothing is written yet.

    Attributes
    ----------
    known : int
        Rows whose thing is in the records already.
    problems : tuple of Problem
        Every reason for which a row comes back.
    """

    own: OwnItems
    rows: tuple[StockRow, ...]
    known: int
    problems: tuple[Problem, ...]
    told: Told

    @property
    def bad_rows(self) -> int:
        """How many rows come back."""
        return len({problem.place for problem in self.problems})


def try_stock(shop: Shop, content: bytes, name: str, told: Told, today: date) -> StockTrial:
    """Read a file of what stands in the shop, without writing anything.

    Parameters
    ----------
    content : bytes
        Of a CSV or Excel file with a row for each thing; under any headings.
    told : Told
        What the user said of it.

    Raises
    ------
    ItemFileError
        If the file as a whole cannot be read.
    """
    rates, known = stated_rates(shop.records), remembered(shop.records)
    by = Reading(told, known, shop.book, shop.settings, today, rates)
    own = read_own_items(content, name, by, all_names(shop.records), ASKED)
    aside = rows_without_kind(own, told.words)
    others, unfit = rows_aside(shop, own, aside)
    read = sorted((*rows_of(shop, own), *others), key=lambda row: row.place)
    rows, clashes = _checked(shop, own, read)
    problems = sorted((*problems_left(own, aside), *unfit, *clashes), key=lambda one: one.place)
    with Session(shop.records) as session:
        there = known_keys(session, (row.entry.key for row in rows))
        there |= used_numbers(session, (row.item for row in rows if row.item))
    fresh = [row for row in rows if row.entry.key not in there and row.item not in there]
    return StockTrial(own, tuple(fresh), len(rows) - len(fresh), tuple(problems), told)


def bring_stock(
    shop: Shop, actor: Actor, trial: StockTrial, at: datetime, step: Progress | None = None
) -> int:
    """Write the things of a file as they stand: all of them or none.

    Parameters
    ----------
    actor : Actor
        Whoever brings them in.
    trial : StockTrial
        What was seen and confirmed.
    at : datetime
        Now, in the shop's zone.
    step : callable, optional
        Called with how many were valued, and of how many.

    Returns
    -------
    int
        Things that are new in the records.
    """
    saves = []
    for done, row in enumerate(trial.rows):
        if step is not None and done % 50 == 0:
            step(done, len(trial.rows))
        saves.append(_save_of(shop, row))
    known = remembered(shop.records)
    with transaction(shop.records, actor, at) as work:
        # Those with a number of ours first: the next free number is then nobody else's.
        order = sorted(range(len(saves)), key=lambda place: saves[place].wanted is None)
        numbers = save_items(work.session, [saves[place] for place in order], at, actor.name)
        brought: list[int] = []
        for place, saved in zip(order, numbers, strict=True):
            if saved.fresh:
                brought += _stands(work, shop, trial.rows[place], saved.number)
        enter_items(work, shop, brought)
        remember(work.session, Remembered(_headings(trial.own), trial.told.words), known, at)
        fresh = sum(saved.fresh for saved in numbers)
        work.log("brought stock in", trial.own.table.name[:60], items=fresh)
    return fresh


def _headings(own: OwnItems) -> dict[str, str]:
    """What is remembered of its headings: nothing that would mislead a file of past sales.

    There a price is what a thing brought, and a date the day on which it sold.
    """
    usual = headings_by_key()
    return {
        heading: column
        for heading, column in to_remember(own.matches).items()
        if usual.get(word_key(heading), (column,))[0] == column
    }


def _save_of(shop: Shop, row: StockRow) -> NewSave:
    found = _OURS.fullmatch(row.item)
    ours = int(found[1]) if found and row.item == f"Q-{int(found[1]):05d}" else None
    return replace(
        to_save(shop, row.entry),
        wanted=ours,
        own_number="" if ours else row.item,
        taken_in_on=row.taken_in_on,
    )


def _stands(work: Work, shop: Shop, row: StockRow, number: str) -> list[int]:
    """Write where it stands and whose it is; gives its id where somebody brought it."""
    item = item_row(work.session, number)
    held = bool(open_rows(work.session, [number]))
    if row.ticket is not None and not held:
        since = max(filter(None, (row.put_out_on, row.taken_in_on)), default=work.at.date())
        write_standing(
            work.session,
            item.id,
            row.entry.key,
            row.ticket,
            shop.settings.currency,
            since,
            work.at,
            work.actor.name,
            on_rail=row.on_rail,
            plan=marks_off(shop, row.ticket),
        )
    if not row.consignor:
        return []
    return brings(work.session, row.consignor, [number], work.at, None)


def _checked(
    shop: Shop, own: OwnItems, rows: list[StockRow]
) -> tuple[list[StockRow], list[Problem]]:
    """Find whose each thing is, and refuse numbers that are two things."""
    people = consignors(shop.records)
    known = {one.number.casefold(): one.number for one in people}
    names = Counter(one.name.casefold() for one in people if one.name)
    known |= {one.name.casefold(): one.number for one in people if names[one.name.casefold()] == 1}
    good, bad, met = [], [], set[str]()
    for row in rows:
        if fault := _fault(row, known, met):
            bad.append(problem_at(own.table, row.place, "", fault))
        else:
            good.append(replace(row, consignor=known.get(row.consignor.casefold(), "")))
        met.add(row.item)
    return good, bad


def _fault(row: StockRow, known: Mapping[str, str], met: set[str]) -> ReadingError | None:
    if row.consignor and row.consignor.casefold() not in known:
        return ReadingError(
            f"no consignor {row.consignor[:40]!r} is in the records",
            remedy="bring consignors in first, or look at the number",
        )
    if row.pieces > 1:
        return ReadingError(
            f"{row.pieces} pieces stand under the number {row.item}",
            remedy="give each a row and a number of its own, or leave the number out",
        )
    if row.item and row.item in met:
        return ReadingError(f"item {row.item} stands twice", remedy="give one another number")
    if len(row.item) > LONGEST_NUMBER:
        return ReadingError(
            f"the number has {len(row.item)} characters",
            remedy=f"shorten it to {LONGEST_NUMBER}, as a ticket has no room for more",
        )
    return None
