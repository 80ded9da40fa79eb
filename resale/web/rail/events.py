"""What the Rail writes into the Ledger: tickets, putting out, marks, passing on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from resale.errors import ResaleError
from resale.storage.imports.amounts import AmountStyle, read_messy_amount
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import add_events
from resale.web.access.current_user import my_name
from resale.web.core.shop import Shop
from resale.web.rail.lines import RailLine


class RailFormError(ResaleError):
    """What the form asked for cannot be done with this item."""


def amount_typed(shop: Shop, text: str, number: str) -> int:
    """Read a ticket price as a person writes it, in minor units."""
    try:
        amount = read_messy_amount(text[:60], AmountStyle.of([text[:60]], shop.money))
    except ResaleError as fault:
        raise RailFormError(fault.what, where=number, remedy=fault.remedy) from None
    return int(amount.scaleb(shop.money.decimals))


def put_out(shop: Shop, lines: Sequence[RailLine], key: str, at: datetime) -> int:
    """Write tickets where there are none yet, and put the items out with their plan.

    Returns
    -------
    int
        Items put out.
    """
    refuse_held(lines)
    events = []
    for line in lines:
        if not line.written:
            events.append(_event(line, "ticketed", key, at.date(), line.price))
        plan = _plan_from(line)
        events.append(_event(line, "put_out", key, at.date(), None, plan=plan))
    _add(shop, events, at)
    return len(lines)


def ticket(shop: Shop, line: RailLine, price: int, key: str, at: datetime) -> None:
    """Write another price on a ticket; on the rail a lower one is a mark."""
    refuse_held([line])
    if line.written and price == line.price:
        return
    lower = line.where == "on_rail" and price < line.price
    what = "marked_down" if lower else "ticketed"
    _add(shop, [_event(line, what, key, at.date(), price)], at)


def mark_down(shop: Shop, lines: Iterable[RailLine], key: str, at: datetime) -> int:
    """Mark down all that the plan has due."""
    due = [line for line in lines if line.due == "mark"]
    _add(shop, [_event(o, "marked_down", key, at.date(), o.due_price) for o in due], at)
    return len(due)


def pass_on(shop: Shop, lines: Iterable[RailLine], key: str, at: datetime) -> int:
    """Take off and pass on; what it brings is written into the Ledger when it is known."""
    gone = list(lines)
    refuse_held(gone)
    _add(shop, [_event(line, "passed_on", key, at.date(), None) for line in gone], at)
    return len(gone)


Priced = tuple[RailLine, int, Sequence[int | None]]


def reprice(shop: Shop, priced: Sequence[Priced], key: str, at: datetime) -> None:
    """Write new tickets after a new fit, each with the plan that it follows from now on."""
    refuse_held([line for line, _, _ in priced])
    events = [
        _event(line, "ticketed", key, at.date(), price, plan=list(plan))
        for line, price, plan in priced
    ]
    _add(shop, events, at)


def refuse_held(lines: Iterable[RailLine]) -> None:
    """Refuse a ticket to what is held, in one sentence."""
    for line in lines:
        if line.standing == "held":
            raise RailFormError(
                f"it is held, so it gets no ticket. {line.why.rstrip('.')}",
                where=line.number,
                remedy="do what the Held screen says; a lead clears it there",
            )


def _plan_from(line: RailLine) -> list[int | None]:
    """Give the plan from the price on its ticket: no later mark may lie above it."""
    rest = [None if ticket is None else min(ticket, line.price) for ticket in line.plan]
    return [line.price, *rest[1:]]


def _event(
    line: RailLine, what: str, key: str, day: date, amount: int | None, **data: object
) -> NewEvent:
    own = event_key("rail", key, line.number, what)
    return NewEvent(line.number, what, day, own, amount, by=my_name(), data=data)


def _add(shop: Shop, events: Sequence[NewEvent], at: datetime) -> None:
    if events:
        add_events(shop.records, events, currency=shop.settings.currency, at=at)
