"""Leads against leads: the quarter's ten things, where leads part, and the doubt that follows."""

from __future__ import annotations

import time
from secrets import randbits

from flask import Blueprint, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.services.items.entry import Entry, new_key
from resale.services.training.calibration import (
    FEWEST_LEADS,
    TEN,
    draw_ten,
    grow_doubt,
    round_of,
)
from resale.services.training.second_looks import take_second_look
from resale.storage.items.store import item_numbered
from resale.storage.people.second_looks import NewLook
from resale.web.access.current_user import here, me
from resale.web.core.shop import Shop, current_shop, shop_now
from resale.web.item_form.form import entry_from_form
from resale.web.training.elapsed import seconds_since
from resale.web.training.whole_items import reading_parts

screen = Blueprint("calibration", __name__, url_prefix="/drill/leads")

LONGEST_SECONDS = 900.0


@screen.get("")
def page() -> ResponseReturnValue:
    """Show the quarter's things, and where leads part."""
    found = round_of(current_shop())
    return render_template(
        "training/calibration.html", round=found, ten=TEN, fewest=FEWEST_LEADS, asks=here().name
    )


@screen.post("")
def draw() -> ResponseReturnValue:
    """Draw the quarter's things; the first draw stays."""
    shop, now = shop_now()
    draw_ten(shop, me(), randbits(31), now)
    return redirect(address_of("calibration.page"), 303)


@screen.get("/<number>")
def open_item(number: str) -> ResponseReturnValue:
    """Lay out one of the things to be read blind."""
    shop = current_shop()
    _wanted(shop, number)
    kind = shop.valued_kind(item_numbered(shop.records, number).kind)
    return _form(shop, number, Entry(kind.id, key=new_key()))


@screen.post("/<number>")
def read(number: str) -> ResponseReturnValue:
    """Keep a lead's reading; sent twice, the first one holds."""
    (shop, now), person = shop_now(), here()
    quarter = _wanted(shop, number)
    item = item_numbered(shop.records, number)
    entry = entry_from_form(shop.valued_kind(item.kind), request.form)
    if not entry.choices:
        entry.faults["signs"] = "Nothing was looked at: answer at least one sign."
    if entry.faults:
        return make_response(_form(shop, number, entry), 422)
    seconds = seconds_since(request.form.get("shown", ""), LONGEST_SECONDS)
    key = f"{quarter}/{item.number}/{person.id}"
    new = NewLook(key, item.number, person.id, entry.choices, {}, seconds)
    take_second_look(shop.records, me(), new, now)
    return redirect(address_of("calibration.page") + f"#{item.number}", 303)


@screen.post("/doubt/<signal>")
def doubt(signal: str) -> ResponseReturnValue:
    """Let the rule book's doubt of a sign grow by what leads part on."""
    shop, now = shop_now()
    grow_doubt(shop, me(), signal, now)
    return redirect(address_of("calibration.page") + "#parted", 303)


def _wanted(shop: Shop, number: str) -> str:
    """Name of the quarter, if this thing is one of its and not read by whoever asks."""
    found = round_of(shop)
    thing = next((one for one in found.things if one.number == number), None)
    if thing is None or here().name in thing.readers:
        raise ReadingError(
            f"{number} is not among this quarter's things that you have still to read",
            where="Leads against leads",
            remedy="pick one of the list",
        )
    return found.quarter


def _form(shop: Shop, number: str, entry: Entry) -> str:
    return render_template(
        "training/second_look.html",
        number=number,
        action=address_of("calibration.read", number=number),
        back=address_of("calibration.page"),
        faults=entry.faults,
        shown=f"{time.time():.2f}",
        **reading_parts(shop, shop.valued_kind(entry.kind), entry),
    )
