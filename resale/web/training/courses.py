"""Courses: what a lead wants learned, who takes it, and how far each of them is."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.services.items.entry import new_key
from resale.services.training.at_stake import because, kinds_met, stakes_for
from resale.services.training.courses import (
    CourseStanding,
    end_course,
    join_course,
    make_course,
    shipped_week,
    standing_in,
    standing_of,
)
from resale.services.training.sessions import practised_signs
from resale.storage.people.people import Person, people
from resale.storage.training.courses import course_by_id, courses, taken
from resale.training.courses.course import (
    GOALS,
    MOST_DAYS,
    PACES,
    USUAL_DAYS,
    USUAL_GOAL,
    USUAL_PACE,
    Course,
    dearest,
    laid_out,
)
from resale.training.practice.drawn_drills import drawn_drills
from resale.web.access.current_user import here, me
from resale.web.core.shop import Shop, current_shop, shop_now
from resale.web.training.cards import signal_name

screen = Blueprint("courses", __name__, url_prefix="/drill/courses")

OFFERED, TICKED = 40, 20
"""Signs that are offered for a course, and how many of the dearest are ticked beforehand."""


@dataclass(frozen=True, slots=True)
class SignOffered:
    """A sign that may be part of a course, and what it costs while it is misread."""

    id: str
    name: str
    why: str
    drawn: bool
    ticked: bool


@screen.get("")
def listed() -> ResponseReturnValue:
    """List the courses, and how far everybody is with theirs."""
    shop, now = shop_now()
    standings = [standing_in(shop, one, now) for one in taken(shop.records)]
    by_course: dict[int, list[CourseStanding]] = {}
    for one in standings:
        by_course.setdefault(one.taken.saved.id, []).append(one)
    return render_template(
        "training/courses.html", courses=courses(shop.records), by_course=by_course
    )


@screen.get("/new")
def new() -> ResponseReturnValue:
    """Lay out a course: kinds, signs, pace, goal, and who takes it."""
    return _form(current_shop(), tuple(request.args.getlist("kind")))


@screen.post("")
def make() -> ResponseReturnValue:
    """Keep a course, and let those who were ticked take it."""
    shop, now = shop_now()
    try:
        course, who = _course_sent(shop), _people_sent(shop)
        number = make_course(
            shop.records, me(), request.form.get("key", new_key())[:64], course, who, now
        )
    except ReadingError as fault:
        return make_response(_form(shop, _kinds_sent(), fault.sentence), 422)
    return redirect(address_of("courses.one", course=number), 303)


@screen.get("/<int:course>")
def one(course: int) -> ResponseReturnValue:
    """Show a course day by day, and how far each is who takes it."""
    shop, now = shop_now()
    saved = course_by_id(shop.records, course)
    standings = [standing_in(shop, each, now) for each in taken(shop.records, course_id=course)]
    takes = {each.taken.person.id for each in standings}
    return render_template(
        "training/course.html",
        saved=saved,
        standings=standings,
        others=[each for each in people(shop.records) if each.id not in takes],
        kinds=[shop.book.kinds[k].text.plural for k in saved.course.kinds if k in shop.book.kinds],
        names=_names(shop, saved.course),
    )


@screen.get("/mine")
def mine() -> ResponseReturnValue:
    """Show one's own course, day by day."""
    shop, now = shop_now()
    standing = standing_of(shop, here(), now)
    if standing is None:
        return redirect(address_of("drill.home"))
    return render_template(
        "training/my_course.html", standing=standing, names=_names(shop, standing.course)
    )


@screen.post("/<int:course>/people")
def join(course: int) -> ResponseReturnValue:
    """Let somebody take a course."""
    shop, now = shop_now()
    for person in _people_sent(shop):
        join_course(shop.records, me(), course, person, now)
    return redirect(address_of("courses.one", course=course), 303)


@screen.post("/<int:course>/people/<int:person>/end")
def end(course: int, person: int) -> ResponseReturnValue:
    """End a course for somebody; what they answered stays."""
    shop, now = shop_now()
    end_course(shop.records, me(), course, person, now)
    return redirect(address_of("courses.one", course=course), 303)


def _course_sent(shop: Shop) -> Course:
    form = request.form
    if form.get("shipped"):
        return shipped_week(shop)
    can = practised_signs(shop)
    return laid_out(
        form.get("name", ""),
        [sign for sign in form.getlist("sign") if sign in can],
        kinds=_kinds_sent(),
        days=_number("days"),
        cards=_number("cards"),
        goal=_number("goal"),
    )


def _kinds_sent() -> tuple[str, ...]:
    return tuple(request.form.getlist("kind"))


def _number(name: str) -> int:
    text = request.form.get(name, "").strip()
    return int(text) if text.isdecimal() and len(text) < 4 else -1


def _people_sent(shop: Shop) -> list[int]:
    sent = set(request.form.getlist("person"))
    return [one.id for one in people(shop.records) if str(one.id) in sent]


def _form(shop: Shop, kinds: tuple[str, ...], fault: str = "") -> str:
    form = request.form
    chosen = tuple(kind for kind in kinds if kind in shop.book.kinds)
    week = shipped_week(shop)
    met = kinds_met(shop)
    everybody: list[Person] = list(people(shop.records))
    return render_template(
        "training/new_course.html",
        key=form.get("key") or new_key(),
        fault=fault,
        week=week,
        week_names=_names(shop, week),
        kinds=sorted(shop.book.kinds.values(), key=lambda one: -met.get(one.id, 0)),
        chosen=chosen,
        signs=_signs_offered(shop, chosen),
        paces=PACES,
        goals=GOALS,
        most_days=MOST_DAYS,
        typed={
            "name": form.get("name", ""),
            "days": form.get("days", str(USUAL_DAYS)),
            "cards": form.get("cards", str(USUAL_PACE)),
            "goal": form.get("goal", str(USUAL_GOAL)),
        },
        everybody=sorted(everybody, key=lambda one: (one.role != "sorter", one.name.casefold())),
        who=set(form.getlist("person")),
    )


def _signs_offered(shop: Shop, kinds: tuple[str, ...]) -> list[SignOffered]:
    """Signs of these kinds that can be practised, the dearest for a beginner first."""
    stakes = stakes_for(shop, None, shop.now(), kinds)
    offered = dearest(stakes.values(), practised_signs(shop), OFFERED)
    drawn = {sign for drill in drawn_drills() for sign in drill.signal_ids}
    sent = set(request.form.getlist("sign"))
    ticked = sent or set(offered[:TICKED])
    return [
        SignOffered(
            sign,
            shop.book.kinds[stakes[sign].kind].by_id[sign].name,
            because(shop, stakes[sign], of_somebody=False),
            sign in drawn,
            sign in ticked,
        )
        for sign in offered
    ]


def _names(shop: Shop, course: Course) -> dict[str, str]:
    return {sign: signal_name(shop.book, sign) for sign in course.signs}
