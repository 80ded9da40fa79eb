"""A day of the shop: its totals, line by line, and its closing."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.services.sent import Sent
from resale.services.settlement.close_day import NewClosing, close_day, day_money
from resale.storage.ledger.day_book import DayLine, day_book
from resale.storage.settlement.day_money import ClosedDay, MoneyLine, paid_for, tax_of
from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.parsing import read_key
from resale.web.api.requests import ClosingSent
from resale.web.api.responses import till as till_answers
from resale.web.api.routes.items import own_key
from resale.web.api.tokens import this_device
from resale.web.core.days import read_day
from resale.web.core.problems import ApiError
from resale.web.core.shop import current_shop

_OF_ITEMS = ("sale", "return", "passed on")


@api.get("/days/<day>")
@operation("read", till_answers.Totals)
def totals(day: str) -> till_answers.Totals:
    """Add up a day of the shop, named as 2026-03-31 or today, corrections included."""
    shop = current_shop()
    on = _day(day, shop.here().date())
    sums, till = day_book(shop.records, on, on, shop.settings.currency).sums, day_money(shop, on)
    return till_answers.Totals(
        day=on,
        currency=shop.settings.currency,
        decimals=shop.money.decimals,
        counts=dict(sums.counts),
        sold_minor=sums.sold,
        returned_minor=sums.returned,
        passed_on_minor=sums.passed_on,
        net_minor=sums.net,
        till_minor=till.sums,
        closed=_closing(till.closed) if till.closed else None,
    )


@api.get("/days/<day>/lines")
@operation("read", till_answers.DayLines)
def day_lines(day: str) -> till_answers.DayLines:
    """List a day line by line: what happened to items, and money beside the sales."""
    shop = current_shop()
    on = _day(day, shop.here().date())
    book = day_book(shop.records, on, on, shop.settings.currency)
    events = [line.event for line in book.lines]
    with Session(shop.records) as session:
        paid, tax = paid_for(session, events), tax_of(session, events)
    beside = [one for one in day_money(shop, on).lines if _is_beside(one, on)]
    return till_answers.DayLines(
        day=on,
        currency=shop.settings.currency,
        decimals=shop.money.decimals,
        lines=[_line(one, paid.get(one.event, {}), tax.get(one.event, 0)) for one in book.lines],
        beside=[
            till_answers.MoneyLine(
                what=one.what,
                about_day=one.about_day,
                number=one.item or None,
                paid=one.paid,
                note=one.note,
                by=one.by,
            )
            for one in beside
        ],
    )


@api.post("/days/<day>/closing")
@operation("sell", till_answers.Closing, body=ClosingSent, status=201, keyed=True)
def closing(day: str, body: ClosingSent) -> till_answers.Closing:
    """Close a day of the till, and all before it that are open.

    It is never changed; what is written of it later counts on the next open day.
    """
    shop = current_shop()
    at = shop.here()
    on = _day(day, at.date())
    key = own_key(read_key(body.key))
    asked = {"day": on.isoformat(), **body.model_dump(mode="json", exclude={"key"})}
    new = NewClosing(on, body.counted_minor, " ".join(body.note.split()))
    return _closing(close_day(shop, this_device(), new, at, Sent(key, asked)))


def _day(text: str, today: date) -> date:
    try:
        return today if text == "today" else read_day(text, today)
    except ReadingError as fault:
        raise ApiError("not-found", fault.what, fault.remedy) from None


def _is_beside(line: MoneyLine, day: date) -> bool:
    return line.what not in _OF_ITEMS or line.about_day != day


def _closing(closed: ClosedDay) -> till_answers.Closing:
    plain = asdict(closed)
    expected, counted = plain.pop("expected"), plain.pop("counted")
    return till_answers.Closing(
        **plain,
        expected_minor=expected,
        counted_minor=counted,
        difference_minor=closed.difference,
    )


def _line(one: DayLine, paid: dict[str, int], tax: int) -> till_answers.DayLine:
    discount = one.data.get("discount", {})
    return till_answers.DayLine(
        event=one.event,
        number=one.number,
        what=one.what,
        amount_minor=one.amount,
        paid=paid,
        tax_minor=tax,
        discount_minor=discount.get("minor", 0),
        discount_reason=discount.get("reason", ""),
        sale=one.data.get("sale"),
        note=one.note,
        by=one.by,
    )
