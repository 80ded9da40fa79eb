"""What the accounts hold of an item, brought in line with its life in the Ledger.

After anything is written of an item, what should be entered is worked out from the lines that hold,
and the difference to what is entered becomes an entry of its own. So one rule serves sales,
returns, corrections, and a consignor who is named later.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import Account, Postings, added, reversed_of
from resale.selling.consignment.sale_postings import Brought, MoneyMoved, Place, postings_of
from resale.selling.consignment.tax import NO_TAX, TaxTerms
from resale.storage.db.account_tables import EntryRow, PostingRow
from resale.storage.db.consignor_tables import BroughtRow
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.ledger import events_of
from resale.storage.ledger.transitions import Event, held
from resale.storage.settlement.entries import NewEntry, enter

MOVES_MONEY = ("sold", "returned", "passed_on")
_ENTERED_AS = {"sold": "sale", "returned": "return", "passed_on": "passed on"}


def post_item(session: Session, item_id: int, at: datetime, by: str) -> int:
    """Enter what the accounts do not yet hold of an item.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    at : datetime
        Now, in the shop's zone.
    by : str
        Name of whoever changed something.

    Returns
    -------
    int
        Entries written.
    """
    lines = held(events_of(session, item_id))
    brought, before = session.get(BroughtRow, item_id), _of_before(lines)
    moves = [one for one in lines if one.what in MOVES_MONEY and one.amount]
    wanted = postings_of(_moved(one, brought, before) for one in moves)
    entered, seen = _entered(session, item_id)
    what = {one.id: _ENTERED_AS[one.what] for one in moves}
    count = 0
    for place in sorted(wanted.keys() | entered.keys()):
        missing = added(wanted.get(place, {}), reversed_of(entered.get(place, {})))
        if not missing:
            continue
        event, day = place
        first = event not in seen and event in what
        key = event_key("posted", str(item_id), str(event), day.isoformat(), str(len(seen) + count))
        new = NewEntry(
            what[event] if first else "correction",
            day,
            missing,
            key,
            item_id=item_id,
            event_id=event,
        )
        enter(session, new, at, by)
        count += 1
    return count


def sale_terms(session: Session, item_id: int, tax: TaxTerms) -> dict[str, Any]:
    """Say under which terms an item would sell now, to be written beside its sale.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    item_id : int
    tax : TaxTerms
        By which the shop sells now.

    Returns
    -------
    dict
        Plain values, for the line of the sale.
    """
    brought = session.get(BroughtRow, item_id)
    said: dict[str, Any] = {"tax": [tax.scheme, str(tax.rate)]} if tax.scheme != "none" else {}
    if brought is not None and brought.share is not None:
        said["share"] = brought.share
    return said


def terms_of(event: Event, brought: BroughtRow | None) -> tuple[Brought | None, TaxTerms]:
    """Read the terms under which something was sold.

    Parameters
    ----------
    event : Event
        The sale.
    brought : BroughtRow or None
        Who brought the item, and for which share.

    Returns
    -------
    brought : Brought or None
        None for the shop's own.
    tax : TaxTerms
    """
    scheme, rate = event.data.get("tax", ("none", "0"))
    tax = NO_TAX if scheme == "none" else TaxTerms(scheme, Decimal(rate))
    if brought is None or brought.share is None:
        return None, tax
    # Who brought it was said after it had sold: then their share is what was agreed.
    later = event.made_at is not None and brought.made_at.replace(tzinfo=UTC) > event.made_at
    share = brought.share if later else event.data.get("share", brought.share)
    return Brought(brought.consignor_id, Decimal(share)), tax


def _of_before(lines: Sequence[Event]) -> int | None:
    """Name the sale that a file of past sales told of: it was settled before it came here."""
    past = any(one.what == "taken_in" and "past" in one.data for one in lines)
    sales = [one.id for one in lines if one.what == "sold"]
    return min(sales, default=None) if past else None


def _moved(event: Event, brought: BroughtRow | None, before: int | None) -> MoneyMoved:
    theirs, tax = terms_of(event, brought)
    amount, entered = event.amount or 0, event.id != before
    # A way to pay that is named for the whole goes before parts, so that a slip can be mended.
    whole = event.data.get("payment")
    paid: Mapping[Any, int] = {whole: amount} if whole else event.data.get("paid", {})
    return MoneyMoved(event.id, event.what, event.day, amount, paid, theirs, tax, entered)


def _entered(session: Session, item_id: int) -> tuple[dict[Place, Postings], list[int]]:
    """Add up what is entered by event and day, and name the event of each entry."""
    query = (
        select(
            EntryRow.id,
            EntryRow.event_id,
            EntryRow.about_day,
            PostingRow.account,
            PostingRow.consignor_id,
            PostingRow.amount,
        )
        .join(PostingRow, PostingRow.entry_id == EntryRow.id)
        .where(EntryRow.item_id == item_id)
        .order_by(PostingRow.id)
    )
    found: dict[Place, Postings] = {}
    events: dict[int, int] = {}
    for entry, event, day, name, consignor, amount in session.execute(query):
        place: Place = (event or 0, day)
        found[place] = added(found.get(place, {}), {Account(name, consignor or 0): amount})
        events[entry] = event or 0
    return found, list(events.values())
