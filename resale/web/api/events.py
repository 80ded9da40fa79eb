"""What happens to items at the till and on the rail, and the totals of a day."""

from __future__ import annotations

from datetime import date, datetime

from resale.errors import ReadingError
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import add_event, item_life
from resale.storage.people.idempotency_keys import done_once
from resale.web.api import responses as a
from resale.web.api.blueprint import api
from resale.web.api.holds import refuse_held
from resale.web.api.items import own_key
from resale.web.api.operations import operation
from resale.web.api.parsing import read_key
from resale.web.api.problems import ApiError
from resale.web.api.requests import EventSent
from resale.web.api.tokens import current_device, note_deed
from resale.web.core.shop import Shop, current_shop
from resale.web.ledger.form import price_on_ticket, read_day
from resale.web.ledger.item_number import number_in
from resale.web.rail import events as rail_events
from resale.web.rail.lines import rail_of


@api.post("/items/<number>/events")
@operation("sell", a.Recorded, body=EventSent, status=201, keyed=True)
def happened(number: str, body: EventSent) -> a.Recorded:
    """Write down what happened to an item: sold in one call, returned, put out and so on.

    Sent again with the same key, it writes nothing new and gets the same answer. An item that is
    held is refused until a lead has cleared it.
    """
    shop = current_shop()
    number = number_in(number)
    key = own_key(read_key(body.key))
    asked = {"number": number, **body.model_dump(mode="json", exclude={"key"})}
    said = done_once(
        shop.records,
        key,
        asked,
        shop.now(),
        lambda: _write(shop, number, body, key, shop.here()).model_dump(mode="json"),
    )
    return a.Recorded.model_validate(said)


@api.get("/days/<day>")
@operation("read", a.Totals)
def totals(day: str) -> a.Totals:
    """Add up a day of the shop, named as 2026-03-31 or today, corrections included."""
    shop = current_shop()
    today = shop.here().date()
    on = today if day == "today" else _day(day, today)
    sums = day_book(shop.records, on, on, shop.settings.currency).sums
    return a.Totals(
        day=on,
        currency=shop.settings.currency,
        decimals=shop.money.decimals,
        counts=dict(sums.counts),
        sold_minor=sums.sold,
        returned_minor=sums.returned,
        passed_on_minor=sums.passed_on,
        net_minor=sums.net,
    )


def _day(text: str, today: date) -> date:
    try:
        return read_day(text, today)
    except ReadingError as fault:
        raise ApiError("not-found", fault.what, fault.remedy) from None


def _write(shop: Shop, number: str, body: EventSent, key: str, at: datetime) -> a.Recorded:
    refuse_held(shop, number, body.what)
    # Put out as the Rail does, with the ticket and the marks of its plan, where it can have one.
    line = rail_of(shop, at.date()).numbered().get(number) if _planned(body, at) else None
    if line is not None:
        rail_events.put_out(shop, [line], key, at)
        added = None
    else:
        event = NewEvent(
            number,
            body.what,
            body.day or at.date(),
            key,
            _amount(shop, number, body),
            note=" ".join(body.note.split()),
            by=current_device().name,
        )
        added = add_event(shop.records, event, currency=shop.settings.currency, at=at)
    note_deed("wrote in the Ledger", number)
    life = item_life(shop.records, number)
    written = next(
        one for one in reversed(life.written) if added in (None, one.id) and one.what == body.what
    )
    return a.Recorded(
        event=written.id,
        number=life.number,
        what=written.what,
        day=written.day,
        amount_minor=written.amount,
        currency=written.currency,
        where=life.state.where,
    )


def _amount(shop: Shop, number: str, body: EventSent) -> int | None:
    """Take a sale without a price for one at the price that the Ledger's page would offer."""
    if body.amount_minor is None and body.what == "sold":
        return price_on_ticket(item_life(shop.records, number))
    return body.amount_minor


def _planned(body: EventSent, at: datetime) -> bool:
    return body.what == "put_out" and body.amount_minor is None and body.day in (None, at.date())
