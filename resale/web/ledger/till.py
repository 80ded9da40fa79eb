"""A shop that works without a till: several things in one sale, and the day's closing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.selling.consignment.double_entry import PAYMENTS, BookkeepingError
from resale.services.items.entry import new_key
from resale.services.ledger.sell_basket import (
    BasketLine,
    NewBasket,
    priced_lines,
    sell_basket,
)
from resale.services.settlement.close_day import NewClosing, close_day
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.transitions import LedgerError
from resale.web.access.current_user import me
from resale.web.core.days import read_day
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, shop_now
from resale.web.ledger.form import read_amount, read_payment, read_sum

screen = Blueprint("till", __name__, url_prefix="/till")


@screen.get("")
def basket() -> ResponseReturnValue:
    """Ask what is bought, and show what it comes to."""
    shop, at = shop_now()
    return _page(shop, at)


@screen.post("")
def sell() -> ResponseReturnValue:
    """Sell all that is in the basket, or say what is in the way."""
    shop, at = shop_now()
    form = request.form
    try:
        new = _basket_of(form, shop, at)
        sold = sell_basket(shop, me(), new, at)
    except (LedgerError, ReadingError, NotSavedError) as fault:
        return make_response(_page(shop, at, fault.sentence), 422)
    return redirect(url_for("till.basket", sold=len(sold.lines), total=sold.total_minor), 303)


@screen.post("/close")
def close() -> ResponseReturnValue:
    """Close the day."""
    shop, at = shop_now()
    day = read_day(request.form.get("day", ""), at.date())
    counted = read_sum(request.form.get("counted", ""), shop.money)
    note = " ".join(request.form.get("note", "").split())
    try:
        close_day(shop, me(), NewClosing(day, counted, note), at)
    except BookkeepingError as fault:
        typed = {"fault": fault.sentence, "day": day, "form": request.form}
        return make_response(render_template("ledger/not_closed.html", **typed), 422)
    return redirect(url_for("ledger.home", day=day), 303)


def _basket_of(form: Mapping[str, str], shop: Shop, at: datetime) -> NewBasket:
    numbers = _numbers(form)
    lines = [
        BasketLine(
            number,
            read_amount(form.get(f"price-{number}", ""), shop.money),
            read_sum(form.get(f"off-{number}", ""), shop.money) or 0,
        )
        for number in numbers
    ]
    return NewBasket(
        lines,
        form.get("key", ""),
        at.date(),
        {read_payment(form.get("payment", "")): None},
        " ".join(form.get("reason", "").split()),
    )


def _numbers(form: Mapping[str, str]) -> list[str]:
    said = form.get("items", "")[:4000].replace(",", " ").split()
    return list(dict.fromkeys(number_in(one) for one in said))


def _page(shop: Shop, at: datetime, fault: str = "") -> str:
    numbers = _numbers(request.values)
    try:
        lines = priced_lines(shop, numbers, at)
    except NotSavedError as missing:
        lines, fault = [], fault or missing.sentence
    return render_template(
        "ledger/till.html",
        numbers=numbers,
        lines=lines,
        typed=request.form,
        fault=fault,
        payments=PAYMENTS,
        key=new_key,
        sold=request.args.get("sold", type=int),
        total=request.args.get("total", type=int) or 0,
    )
