"""The lines of everything on hand, kept to be sorted, filtered, counted and shown.

They are laid out once for a day and the prices in use, in blocks, so that what was read of the
items is never all in memory; from then on they follow what happens, item by item.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.selling.mending.mending import MendingPlan
from resale.services.items.save_item import ACTION as SAVED
from resale.services.ledger.append_events import ACTIONS
from resale.services.on_hand.lines import RailLine, mending_of
from resale.services.on_hand.parts import AT_ONCE, rail_part
from resale.services.on_hand.stock import STANDINGS, Place, stock_of
from resale.services.rail.priced_before import changes_of
from resale.services.shop import Shop
from resale.storage.db.consignor_tables import BroughtRow
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.people_tables import AuditEntryRow
from resale.storage.db.tables import EventRow, ItemNow, ItemRow, QuietSpellRow
from resale.storage.ledger.ledger import HERE

_MEMORY = "rail index"
# Lines of who did what that leave label and share of every item as they were, but where an event
# of the item says so too.
BY_THEIR_EVENTS = frozenset({*ACTIONS.values(), SAVED})
_turn = threading.Lock()
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Seen:
    """Up to where it was looked.

    Attributes
    ----------
    event, hold, quiet : int
        Ids of the last event, hold, and word on quiet days.
    written : int
        Id of the last line of who did what: where it stands, nothing was written since.
    beside : frozenset of (int, str, str or None)
        Label and agreed share of each item on hand, which change without an event of the item.
    """

    event: int
    hold: int
    quiet: int
    written: int
    beside: frozenset[tuple[int, str, str | None]]


@dataclass
class RailIndex:
    """Everything on hand, by the ids of the items.

    Attributes
    ----------
    repriced : set of int
        What was valued by earlier prices and would be valued otherwise now.
    mending : dict of int to MendingPlan
        What mending would bring, of what a page has shown.
    """

    day: date
    seen: Seen
    lines: dict[int, RailLine] = field(default_factory=dict)
    repriced: set[int] = field(default_factory=set)
    mending: dict[int, MendingPlan] = field(default_factory=dict)

    def counts(self) -> dict[Place, int]:
        """How many stand where."""
        found = Counter(line.standing for line in self.lines.values())
        return {name: found[name] for name in STANDINGS}

    def due(self, what: str) -> list[RailLine]:
        """Lines that something is due on, by their ids."""
        due = {item: line for item, line in self.lines.items() if line.due == what}
        return [due[item] for item in sorted(due)]

    def forget(self, items: Iterable[int]) -> None:
        """Leave items out.

        Parameters
        ----------
        items : iterable of int
            Ids.
        """
        for item in items:
            self.lines.pop(item, None)
            self.mending.pop(item, None)
            self.repriced.discard(item)


def known_index(shop: Shop) -> RailIndex | None:
    """The index as it was last laid out, perhaps on another day; None where it never was.

    Parameters
    ----------
    shop : Shop
    """
    return cast("RailIndex | None", shop.memory.get(_MEMORY))


def to_look_at(shop: Shop, today: date) -> list[int]:
    """Ids of the items whose lines are not what they were: those on hand now, and those that left.

    Parameters
    ----------
    shop : Shop
    today : date
    """
    known = known_index(shop)
    with Session(shop.records) as session:
        return _stale(session, known, today, _seen(session, known))


def index_of(shop: Shop, today: date, progress: Progress | None = None) -> RailIndex:
    """Give the index as it is now: laid out, or followed up.

    Parameters
    ----------
    shop : Shop
    today : date
        From which days on hand and marks that are due are counted.
    progress : callable, optional
        Told how many of how many items were looked at.
    """
    with _turn:
        known = known_index(shop)
        with Session(shop.records) as session:
            seen = _seen(session, known)
            stale = _stale(session, known, today, seen)
            here = set(_here(session, stale))
        if known is None or known.day != today or known.seen.quiet != seen.quiet:
            found = RailIndex(today, seen)
        elif not stale:
            known.seen = seen
            return known
        else:
            found = RailIndex(today, seen, dict(known.lines), set(known.repriced), known.mending)
        for at in range(0, len(stale), AT_ONCE):
            some = stale[at : at + AT_ONCE]
            found.forget(some)
            _look(shop, found, [one for one in some if one in here])
            if progress is not None:
                progress(min(at + AT_ONCE, len(stale)), len(stale))
        shop.memory[_MEMORY] = found
    return found


def mended(shop: Shop, index: RailIndex, items: Sequence[int]) -> dict[str, MendingPlan]:
    """What mending would bring of those items whose mending pays, by their numbers.

    Parameters
    ----------
    shop : Shop
    index : RailIndex
        Where it is kept for the next page.
    items : sequence of int
        Ids, as many as a page shows.
    """
    wanted = [item for item in items if _may_mend(index.lines[item])]
    missing = [item for item in wanted if item not in index.mending]
    if missing:
        stock = stock_of(shop, index.day, missing)
        for row, item in enumerate(stock.items):
            index.mending[item.id] = mending_of(shop, stock, row)
    known = {index.lines[item].number: index.mending.get(item) for item in wanted}
    return {number: plan for number, plan in known.items() if plan and plan.chosen}


def _may_mend(line: RailLine) -> bool:
    return line.where == "back_room" and not line.waits and line.planned


def _seen(session: Session, known: RailIndex | None) -> Seen:
    event, hold, quiet, written = (
        session.scalar(select(func.max(row.id))) or 0
        for row in (EventRow, HoldEventRow, QuietSpellRow, AuditEntryRow)
    )
    if known is not None and _only_events(session, known.seen.written):
        return Seen(event, hold, quiet, written, known.seen.beside)
    query = (
        select(ItemRow.id, ItemRow.label, BroughtRow.share)
        .join(ItemNow, ItemNow.item_id == ItemRow.id)
        .outerjoin(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .where(ItemNow.place.in_(HERE))
    )
    beside = frozenset((item, label, share) for item, label, share in session.execute(query))
    return Seen(event, hold, quiet, written, beside)


def _only_events(session: Session, since: int) -> bool:
    """Whether nothing was written since that line but what items tell by events of their own."""
    line = AuditEntryRow
    other = select(line.id).where(line.id > since, line.what.not_in(BY_THEIR_EVENTS)).limit(1)
    return session.scalar(other) is None


def _stale(session: Session, known: RailIndex | None, today: date, seen: Seen) -> list[int]:
    if known is None or known.day != today or known.seen.quiet != seen.quiet:
        return list(session.scalars(select(ItemNow.item_id).where(ItemNow.place.in_(HERE))))
    if known.seen == seen:
        return []
    moved = session.scalars(select(ItemNow.item_id).where(ItemNow.changed > known.seen.event))
    held = session.scalars(select(HoldEventRow.item_id).where(HoldEventRow.id > known.seen.hold))
    otherwise = (item for item, *_ in known.seen.beside ^ seen.beside)
    return sorted({*moved, *held, *otherwise})


def _here(session: Session, items: Sequence[int]) -> Iterator[int]:
    query = select(ItemNow.item_id).where(ItemNow.place.in_(HERE))
    for at in range(0, len(items), AT_ONCE):
        some = items[at : at + AT_ONCE]
        yield from session.scalars(query.where(ItemNow.item_id.in_(some)))


def _look(shop: Shop, index: RailIndex, items: Collection[int]) -> None:
    if not items:
        return
    rail = rail_part(shop, index.day, items)
    ids = rail.ids()
    index.lines |= {ids[line.number]: line for line in rail.lines}
    index.repriced |= {ids[one.line.number] for one in changes_of(shop, rail)}
