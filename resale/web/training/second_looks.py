"""Second looks: some of a day's items, drawn by plan, read again by somebody else, blind."""

from __future__ import annotations

import time
from datetime import date
from secrets import randbits
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.services.items.entry import Entry, new_key
from resale.services.training.second_looks import draw_day, plan_day, take_second_look
from resale.storage.items.store import NotSavedError, item_numbered
from resale.storage.people.second_looks import (
    NewLook,
    SavedSample,
    last_intake_day,
    looks,
    sample_of,
)
from resale.training.agreement.sampling import (
    NOT_A_PROMISE,
    quality_levels,
    source,
    what_it_means,
)
from resale.web.access.current_user import here, me
from resale.web.core.shop import Shop, current_shop
from resale.web.item_form.form import entry_from_form
from resale.web.training.day_shares import ShareShown, look_key, shown
from resale.web.training.elapsed import seconds_since
from resale.web.training.whole_items import reading_parts

screen = Blueprint("second_looks", __name__, url_prefix="/drill/second-looks")

USUAL_LEVEL = 4.0
LONGEST_SECONDS = 900.0
CARELESS = (0.02, 0.10, 0.25)


@screen.get("")
def day() -> ResponseReturnValue:
    """Show a day's sample, or the plan for drawing it."""
    shop = current_shop()
    day_wanted = _day(request.args.get("day", "")) or last_intake_day(shop.records)
    sample = sample_of(shop.records, day_wanted) if day_wanted else None
    parts: dict[str, Any] = {
        "day": day_wanted,
        "levels": quality_levels(),
        "source": source(),
        "promise": NOT_A_PROMISE,
        "beyond": shop.settings.misread_beyond,
    }
    if sample:
        parts |= {"sample": sample, "shares": shown(shop, sample, here().name)}
    elif day_wanted:
        level = request.args.get("level", USUAL_LEVEL, type=float)
        planned = tuple(ShareShown(one, ()) for one in plan_day(shop, day_wanted, level))
        parts |= {"level": level, "shares": planned}
    plans = [one.share.plan for one in parts.get("shares", ()) if one.share.plan]
    largest = max(plans, key=lambda plan: plan.lot, default=None)
    meaning = [what_it_means(largest, share) for share in CARELESS] if largest else []
    return render_template("training/second_looks.html", plan=largest, meaning=meaning, **parts)


@screen.post("/<day>")
def draw(day: str) -> ResponseReturnValue:
    """Draw the day's items; the first draw holds, whatever is asked afterwards."""
    shop = current_shop()
    day_wanted = _day(day)
    level = request.form.get("level", USUAL_LEVEL, type=float)
    if day_wanted is None or not plan_day(shop, day_wanted, level):
        raise ReadingError("no items came in on that day", remedy="pick a day with items")
    draw_day(shop, me(), day_wanted, level, randbits(31))
    return redirect(address_of("second_looks.day", day=day_wanted.isoformat()), 303)


@screen.get("/<day>/<number>")
def open_item(day: str, number: str) -> ResponseReturnValue:
    """Lay out a sampled item to be read blind."""
    shop = current_shop()
    sample = _sample_with(shop, day, number)
    _not_read_before(shop, sample, number)
    kind = shop.valued_kind(item_numbered(shop.records, number).kind)
    return _page(shop, sample, number, Entry(kind.id, key=new_key()))


@screen.post("/<day>/<number>")
def look(day: str, number: str) -> ResponseReturnValue:
    """Keep a second look beside the first reading; a third one settles what two part on."""
    shop = current_shop()
    person, sample = here(), _sample_with(shop, day, number)
    there = redirect(address_of("second_looks.day", day=day) + f"#{number}", 303)
    before = [one for one in looks(shop.records, sample.day) if one.number == number]
    if any(one.person == person.name for one in before):
        # Sent twice: the first one holds.
        return there
    _not_read_before(shop, sample, number)
    item = item_numbered(shop.records, number)
    entry = entry_from_form(shop.valued_kind(item.kind), request.form)
    if not entry.choices:
        entry.faults["signs"] = "Nothing was looked at: answer at least one sign."
    if entry.faults:
        return make_response(_page(shop, sample, number, entry), 422)
    new = NewLook(
        look_key(sample.day.isoformat(), item.number, before),
        item.number,
        person.id,
        entry.choices,
        before[0].first if before else item.newest.inputs["choices"],
        seconds_since(request.form.get("shown", ""), LONGEST_SECONDS),
        sample.day,
    )
    take_second_look(shop.records, me(), new, shop.now())
    return there


def _page(shop: Shop, sample: SavedSample, number: str, entry: Entry) -> str:
    return render_template(
        "training/second_look.html",
        number=number,
        action=address_of("second_looks.look", day=sample.day.isoformat(), number=number),
        back=address_of("second_looks.day", day=sample.day.isoformat()),
        faults=entry.faults,
        shown=f"{time.time():.2f}",
        **reading_parts(shop, shop.valued_kind(entry.kind), entry),
    )


def _sample_with(shop: Shop, day: str, number: str) -> SavedSample:
    day_wanted = _day(day)
    sample = sample_of(shop.records, day_wanted) if day_wanted else None
    if sample is None or number not in sample.numbers:
        raise NotSavedError(
            "this item is not in the day's sample", remedy="pick one from the list of second looks"
        )
    return sample


def _not_read_before(shop: Shop, sample: SavedSample, number: str) -> None:
    """Keep a second look blind and wanted: who read an item remembers it, and two are enough."""
    rows = {row.number: row for one in shown(shop, sample, here().name) for row in one.rows}
    row = rows[number]
    if row.own:
        raise ReadingError(
            f"you read {number} yourself, so your look would not be blind",
            where="Second looks",
            remedy="leave it to somebody else, and pick another of the list",
        )
    if not row.can_look:
        raise ReadingError(
            f"{number} was read again already, and the readings do not part",
            where="Second looks",
            remedy="pick another of the list",
        )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
