"""The Ledger: what happened to an item, and the day's book."""

from __future__ import annotations

import io
from datetime import date, timedelta

from flask import Blueprint, make_response, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.selling.consignment.double_entry import PAYMENTS
from resale.services.backup.take_away import take_records_out
from resale.services.items.entry import new_key
from resale.services.ledger.correct_event import correct_event
from resale.services.ledger.life_before import life_before
from resale.services.ledger.quiet import quiet_now, say_of_quiet
from resale.services.ledger.undo import undo_own
from resale.services.ledger.write_event import write_event
from resale.services.settlement.close_day import day_money
from resale.services.standing.saved import saved_standings
from resale.services.standing.standing import Standing
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.hold_rows import STOPPED
from resale.storage.ledger.holds import open_holds
from resale.storage.ledger.ledger import ItemLife, item_life
from resale.storage.ledger.looked import WANTS_LOOKS
from resale.storage.ledger.transitions import LedgerError
from resale.storage.settlement.day_money import paid_for
from resale.web.access.current_user import me
from resale.web.core.days import read_day
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, current_shop
from resale.web.core.wording import STANDS
from resale.web.ledger.form import (
    BUTTONS,
    EVENT_WORDS,
    MOVES_MONEY,
    PRICED,
    correction_from_form,
    event_from_form,
)

screen = Blueprint("ledger", __name__, url_prefix="/ledger")


@screen.get("")
def home() -> ResponseReturnValue:
    """Ask for a number, and open the day's book."""
    shop = current_shop()
    number = request.args.get("number", "").strip()
    if number:
        return redirect(url_for("ledger.item", number=number_in(number)))
    today = shop.here().date()
    day = read_day(request.args.get("day", ""), today)
    book = day_book(shop.records, day, day, shop.settings.currency)
    return render_template(
        "ledger/home.html",
        book=book,
        till=day_money(shop, day),
        day=day,
        today=today,
        around=_around(day, today),
        event_words=EVENT_WORDS,
        quiet=quiet_now(shop, today),
    )


@screen.get("/item/<number>")
def item(number: str) -> ResponseReturnValue:
    """Show the life of an item, and what may happen to it next."""
    return _item_page(current_shop(), number)


@screen.post("/item/<number>")
def happened(number: str) -> ResponseReturnValue:
    """Write down what happened to an item."""
    shop = current_shop()
    at = shop.here()
    try:
        new = event_from_form(number, request.form, shop.money, at.date())
        done = write_event(shop, me(), new, at)
    except (LedgerError, ReadingError) as fault:
        return make_response(_item_page(shop, number, fault.sentence), 422)
    there = url_for("ledger.item", number=number, now=new.what, event=done.event)
    return redirect(there, 303)


@screen.post("/item/<number>/<int:event>/undo")
def undo(number: str, event: int) -> ResponseReturnValue:
    """Take back what one wrote a moment ago."""
    shop = current_shop()
    try:
        undo_own(shop, me(), number, event, request.form.get("key", ""), shop.here())
    except LedgerError as fault:
        return make_response(_item_page(shop, number, fault.sentence), 422)
    return redirect(url_for("ledger.item", number=number, now="undone"), 303)


@screen.get("/item/<number>/<int:event>")
def line(number: str, event: int) -> ResponseReturnValue:
    """Ask what should stand instead of a line."""
    return _correction_page(current_shop(), number, event)


@screen.post("/item/<number>/<int:event>")
def correct(number: str, event: int) -> ResponseReturnValue:
    """Correct a line by a new one."""
    shop = current_shop()
    at = shop.here()
    try:
        new = correction_from_form(number, event, request.form, shop.money, at.date())
        correct_event(shop, me(), new, at)
    except (LedgerError, ReadingError) as fault:
        return make_response(_correction_page(shop, number, event, fault.sentence), 422)
    return redirect(url_for("ledger.item", number=number, now=new.what), 303)


@screen.post("/quiet")
def quiet() -> ResponseReturnValue:
    """Take what somebody says of days without a sale."""
    shop = current_shop()
    was_open = request.form.get("was_open") == "1"
    say_of_quiet(shop, me(), request.form.get("first", ""), shop.here(), was_open=was_open)
    return redirect(url_for("ledger.home"), 303)


@screen.get("/take-out")
def take_out() -> ResponseReturnValue:
    """Give all records as one file in open formats."""
    shop = current_shop()
    at, file = shop.here(), io.BytesIO()
    take_records_out(shop, me(), file, at)
    file.seek(0)
    name = f"records-{at:%Y-%m-%d}.zip"
    return send_file(file, "application/zip", as_attachment=True, download_name=name)


def _item_page(shop: Shop, number: str, fault: str = "") -> str:
    life = item_life(shop.records, number)
    held = open_holds(shop.records, [life.number]).get(life.number, ())
    saved = saved_standings(shop, [life.number], shop.here().date()).get(life.number)
    look_first = saved.look_first if saved else ""
    refused = (STOPPED if held else frozenset()) | (WANTS_LOOKS if look_first else frozenset())
    return render_template(
        "ledger/item.html",
        before=life_before(life),
        life=life,
        kind_name=shop.kind_name(life.kind),
        price=_price(life, saved),
        standing={event.id: event for event in life.held},
        valued=any(event.what == "valued" for event in life.written),
        buttons=[what for what in BUTTONS[life.state.where] if what not in refused],
        held=held,
        look_first=look_first,
        priced=PRICED,
        event_words=EVENT_WORDS,
        stands=STANDS,
        today=shop.here().date(),
        key=new_key,
        fault=fault,
        now=request.args.get("now", ""),
        just=request.args.get("event", type=int),
        payments=PAYMENTS,
    )


def _price(life: ItemLife, saved: Standing | None) -> int | None:
    """What is offered in the fields for a price: its price, or what its ticket would say."""
    if life.state.price is not None:
        return life.state.price
    return saved.price if saved else None


def _correction_page(shop: Shop, number: str, event: int, fault: str = "") -> str:
    life = item_life(shop.records, number)
    meant = next((one for one in life.held if one.id == event and one.what != "valued"), None)
    if meant is None:
        raise LedgerError(
            "this line cannot be corrected",
            where=life.number,
            remedy="correct a line that still stands; value the item again to change a valuation",
        )
    with Session(shop.records) as session:
        paid = paid_for(session, [event])
    return render_template(
        "ledger/correct.html",
        life=life,
        meant=meant,
        priced=PRICED | {"passed_on"},
        event_words=EVENT_WORDS,
        key=new_key,
        fault=fault,
        payments=PAYMENTS,
        paid=paid.get(event, {}),
        moves_money=MOVES_MONEY,
    )


def _around(day: date, today: date) -> tuple[date, date | None]:
    """The day before, and the day after where there is one yet."""
    return day - timedelta(1), day + timedelta(1) if day < today else None
