"""Second looks: some of a day's items, drawn by plan, read again by somebody else, blind."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import date
from secrets import randbits
from typing import Any

import numpy as np
from flask import Blueprint, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.services.items.entry import Entry, new_key
from resale.services.training.second_looks import draw_sample, take_second_look
from resale.storage.items.readers import has_read, readers
from resale.storage.items.store import NotSavedError, item_numbered
from resale.storage.people.second_looks import (
    NewLook,
    SavedLook,
    SavedSample,
    last_intake_day,
    looks,
    numbers_of_day,
    sample_of,
)
from resale.training.agreement.comparison import Comparison, Told
from resale.training.agreement.sampling import (
    NOT_A_PROMISE,
    Plan,
    choose,
    quality_levels,
    sampling_plan,
    source,
    what_it_means,
)
from resale.training.practice.whole_item import compare
from resale.web.access.current_user import here, me
from resale.web.core.shop import Shop, current_shop
from resale.web.item_form.form import entry_from_form
from resale.web.training.elapsed import seconds_since
from resale.web.training.whole_items import known, reading_parts

screen = Blueprint("second_looks", __name__, url_prefix="/drill/second-looks")

USUAL_LEVEL = 4.0
LARGEST_LOT = 10_000
LONGEST_SECONDS = 900.0


@dataclass(frozen=True, slots=True)
class Judged:
    """A sampled item, and what its second look says.

    Attributes
    ----------
    look : SavedLook or None
        None while it is to be read.
    own : bool
        Whether the one who asks read it first: then somebody else has to look.
    """

    number: str
    look: SavedLook | None
    found: Comparison | None
    own: bool = False

    @property
    def misread(self) -> bool:
        """Whether the two readings send it to another tier, or another way."""
        one = self.found
        return one is not None and (
            one.by_trainee.tier != one.by_lead.tier or one.by_trainee.route != one.by_lead.route
        )


@screen.get("")
def day() -> ResponseReturnValue:
    """Show a day's sample, or the plan for drawing it."""
    shop = current_shop()
    day_wanted = _day(request.args.get("day", "")) or last_intake_day(shop.records)
    numbers = numbers_of_day(shop.records, day_wanted)[:LARGEST_LOT] if day_wanted else ()
    sample = sample_of(shop.records, day_wanted) if day_wanted else None
    parts: dict[str, Any] = {
        "day": day_wanted,
        "lot": len(numbers),
        "levels": quality_levels(),
        "source": source(),
        "promise": NOT_A_PROMISE,
    }
    if sample:
        drawn = sampling_plan(sample.plan["lot"], sample.plan["aql"])
        rows = _judged(shop, sample)
        parts |= {"sample": sample, "rows": rows, "verdict": verdict(drawn, rows)}
    elif numbers:
        level = request.args.get("level", USUAL_LEVEL, type=float)
        drawn = sampling_plan(len(numbers), level)
        parts |= {"level": level}
    else:
        return render_template("training/second_looks.html", **parts)
    meaning = [what_it_means(drawn, share) for share in (0.02, 0.10, 0.25)]
    return render_template("training/second_looks.html", plan=drawn, meaning=meaning, **parts)


@screen.post("/<day>")
def draw(day: str) -> ResponseReturnValue:
    """Draw the day's items; the first draw holds, whatever is asked afterwards."""
    shop = current_shop()
    day_wanted = _day(day)
    numbers = numbers_of_day(shop.records, day_wanted)[:LARGEST_LOT] if day_wanted else ()
    if day_wanted is None or not numbers:
        raise ReadingError("no items came in on that day", remedy="pick a day with items")
    drawn = sampling_plan(len(numbers), request.form.get("level", USUAL_LEVEL, type=float))
    seed = randbits(31)
    picked = choose(numbers, drawn, np.random.default_rng(seed))
    drawn_by = {"lot": drawn.lot, "aql": drawn.aql, "letter": drawn.letter, "seed": seed}
    sample = SavedSample(day_wanted, picked, drawn_by)
    draw_sample(shop.records, me(), sample, shop.now())
    return redirect(address_of("second_looks.day", day=day_wanted.isoformat()), 303)


@screen.get("/<day>/<number>")
def open_item(day: str, number: str) -> ResponseReturnValue:
    """Lay out a sampled item to be read blind."""
    shop = current_shop()
    sample = _sample_with(shop, day, number)
    _not_read_before(shop, number)
    kind = shop.kind(item_numbered(shop.records, number).kind)
    return _page(shop, sample, number, Entry(kind.id, key=new_key()))


@screen.post("/<day>/<number>")
def look(day: str, number: str) -> ResponseReturnValue:
    """Keep a second look beside the first reading."""
    shop = current_shop()
    person, sample = here(), _sample_with(shop, day, number)
    _not_read_before(shop, number)
    item = item_numbered(shop.records, number)
    entry = entry_from_form(shop.kind(item.kind), request.form)
    if not entry.choices:
        entry.faults["signs"] = "Nothing was looked at: answer at least one sign."
    if entry.faults:
        return make_response(_page(shop, sample, number, entry), 422)
    new = NewLook(
        f"{sample.day.isoformat()}/{item.number}",
        item.number,
        person.id,
        entry.choices,
        item.newest.inputs["choices"],
        seconds_since(request.form.get("shown", ""), LONGEST_SECONDS),
        sample.day,
    )
    take_second_look(shop.records, me(), new, shop.now())
    return redirect(address_of("second_looks.day", day=day) + f"#{item.number}", 303)


def verdict(drawn: Plan, rows: list[Judged]) -> str:
    """Say where the day stands: open, passed, or to be looked through.

    Parameters
    ----------
    drawn : Plan
        How many were drawn, and how many misread ones are too many.
    rows : list of Judged
        The drawn items, each with its second look where there is one.
    """
    misread = sum(one.misread for one in rows)
    still = sum(one.look is None for one in rows)
    if misread >= drawn.reject:
        return f"{misread} misread: look through the rest of the day too."
    if still:
        return f"{len(rows) - still} of {len(rows)} read again, {misread} misread so far."
    return f"All {len(rows)} read again, {misread} misread: the day passes."


def _judged(shop: Shop, sample: SavedSample) -> list[Judged]:
    by_number = {one.number: one for one in looks(shop.records, sample.day)}
    by, me = readers(shop.records, sample.numbers), here().name
    return [
        _judge(shop, number, by_number.get(number), has_read(by, number, me))
        for number in sample.numbers
    ]


def _judge(shop: Shop, number: str, one: SavedLook | None, own: bool) -> Judged:
    """Compare both readings on the signs that both looked at: one may have had more time."""
    if one is None:
        return Judged(number, None, None, own)
    kind = shop.kind(one.kind)
    first, second = known(kind, dict(one.first)), known(kind, dict(one.choices))
    both = first.keys() & second.keys()
    told = [Told({sign: each[sign] for sign in both}) for each in (first, second)]
    return Judged(number, one, compare(shop.valuer, kind.id, *told), own)


def _page(shop: Shop, sample: SavedSample, number: str, entry: Entry) -> str:
    return render_template(
        "training/second_look.html",
        sample=sample,
        number=number,
        faults=entry.faults,
        shown=f"{time.time():.2f}",
        **reading_parts(shop, shop.kind(entry.kind), entry),
    )


def _sample_with(shop: Shop, day: str, number: str) -> SavedSample:
    day_wanted = _day(day)
    sample = sample_of(shop.records, day_wanted) if day_wanted else None
    if sample is None or number not in sample.numbers:
        raise NotSavedError(
            "this item is not in the day's sample", remedy="pick one from the list of second looks"
        )
    return sample


def _not_read_before(shop: Shop, number: str) -> None:
    """Keep a second look blind: who read an item first remembers it."""
    if has_read(readers(shop.records, [number]), number, here().name):
        raise ReadingError(
            f"you read {number} first yourself, so your second look would not be blind",
            where="Second looks",
            remedy="leave it to somebody else, and pick another of the list",
        )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
