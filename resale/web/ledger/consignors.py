"""Consignors: who brought what, and the papers that they get."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from io import BytesIO

from babel.dates import format_date
from flask import Blueprint, Response, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.selling.consignment.csv import settlement_csv, take_in_csv
from resale.selling.consignment.settlement import Settlement
from resale.services.on_hand.lines import rail_of
from resale.storage.ledger.consignors import (
    brings,
    consignor_numbered,
    consignors,
    lives_of,
    save_consignor,
    takes_off,
)
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, shop_now
from resale.web.ledger.consignor_papers import settlement_of, take_in_of

screen = Blueprint("consignors", __name__, url_prefix="/consignors")
PDF, CSV = "application/pdf", "text/csv; charset=utf-8"


@screen.get("")
def listed() -> ResponseReturnValue:
    """List consignors."""
    return render_template("ledger/statements/list.html", lines=consignors(shop_now()[0].records))


@screen.post("")
def save() -> ResponseReturnValue:
    """Keep a consignor."""
    shop, at = shop_now()
    form = request.form
    number = save_consignor(shop.records, form.get("number", ""), form.get("name", ""), at)
    return redirect(url_for("consignors.one", number=number), 303)


@screen.get("/<number>")
def one(number: str) -> ResponseReturnValue:
    """Show what a consignor brought and what became of it."""
    shop, at = shop_now()
    return render_template(
        "ledger/statements/one.html",
        consignor=consignor_numbered(shop.records, number),
        settlement=_settlement(shop, number, at.date()),
        lives={life.number: life for life in lives_of(shop.records, number)},
    )


@screen.post("/<number>/brings")
def add_items(number: str) -> ResponseReturnValue:
    """Write down what a consignor brought."""
    shop, at = shop_now()
    typed = request.form.get("items", "")[:4000].replace(",", " ").split()
    if not typed:
        raise ReadingError("no item is named", where="Items", remedy="type at least one number")
    brings(shop.records, number, [number_in(one) for one in typed], at)
    return redirect(url_for("consignors.one", number=number), 303)


@screen.post("/<number>/takes-off")
def take_off(number: str) -> ResponseReturnValue:
    """Undo that a consignor brought an item."""
    takes_off(shop_now()[0].records, number, request.form.get("item", "")[:40])
    return redirect(url_for("consignors.one", number=number), 303)


@screen.get("/<number>/take-in.pdf")
def take_in_paper(number: str) -> ResponseReturnValue:
    """Give the take-in sheet to sign."""
    shop, at = shop_now()
    sheet = take_in_of(shop, number, at.date(), _proposed(shop, at.date()))
    # What draws on paper takes a second to load; a day at the desk may need none of it.
    from resale.selling.consignment.pdf import take_in_pdf  # noqa: PLC0415

    pdf = take_in_pdf(sheet, shop.money, write_day=_day_writer(shop))
    return _file(pdf, PDF, f"take-in-{sheet.consignor.number}.pdf")


@screen.get("/<number>/take-in.csv")
def take_in_file(number: str) -> ResponseReturnValue:
    """Give the take-in sheet as a file."""
    shop, at = shop_now()
    sheet = take_in_of(shop, number, at.date(), _proposed(shop, at.date()))
    return _file(take_in_csv(sheet, shop.money), CSV, f"take-in-{sheet.consignor.number}.csv")


@screen.get("/<number>/settlement.pdf")
def settlement_paper(number: str) -> ResponseReturnValue:
    """Give the settlement on paper."""
    shop, at = shop_now()
    settled = _settlement(shop, number, at.date())
    from resale.selling.consignment.pdf import settlement_pdf  # noqa: PLC0415 - as above

    pdf = settlement_pdf(settled, shop.money, write_day=_day_writer(shop))
    return _file(pdf, PDF, f"settlement-{settled.consignor.number}.pdf")


@screen.get("/<number>/settlement.csv")
def settlement_file(number: str) -> ResponseReturnValue:
    """Give the settlement as a file."""
    shop, at = shop_now()
    settled = _settlement(shop, number, at.date())
    name = f"settlement-{settled.consignor.number}.csv"
    return _file(settlement_csv(settled, shop.money), CSV, name)


def _settlement(shop: Shop, number: str, today: date) -> Settlement:
    """Settle between the days asked for; else from the first thing brought until today."""
    consignor_numbered(shop.records, number)
    days = [life.held[0].day for life in lives_of(shop.records, number) if life.held]
    begin = _day("begin", min(days, default=today))
    return settlement_of(shop, number, begin, _day("end", today))


def _day(name: str, default: date) -> date:
    text = request.args.get(name, "")
    try:
        return date.fromisoformat(text) if text else default
    except ValueError:
        raise ReadingError(
            f"{text[:20]!r} is no day", where=name, remedy="write it as 2026-03-01"
        ) from None


def _proposed(shop: Shop, today: date) -> dict[str, int]:
    """First prices by the plan, of what bears no ticket yet."""
    return {line.number: line.price for line in rail_of(shop, today).lines if not line.written}


def _day_writer(shop: Shop) -> Callable[[date], str]:
    return lambda day: format_date(day, "d MMM y", locale=shop.settings.locale)


def _file(content: bytes, kind: str, name: str) -> Response:
    return send_file(BytesIO(content), kind, download_name=name)
