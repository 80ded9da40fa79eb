"""The Drill: a short session of cards, one drawing and one question at a time."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from resale.errors import ReadingError
from resale.services.items.entry import new_key
from resale.services.training.courses import standing_of
from resale.services.training.sessions import WORDS, choose_for, misread_today
from resale.storage.people.drill_sessions import (
    NoSuchSessionError,
    SavedSession,
    save_session,
    session_of,
)
from resale.storage.people.drill_store import (
    NewAnswer,
    SavedAnswer,
    answers_in,
    answers_of,
    progress_of,
    record_answer,
)
from resale.storage.people.introductions import introduction_of
from resale.training.drawings.families import drawn_as, make
from resale.training.practice.by_stake import CARDS
from resale.training.practice.contrasts import Given, with_contrasts
from resale.training.practice.session import Planned
from resale.web.access.current_user import here
from resale.web.core.shop import Shop, current_shop, shop_now
from resale.web.training.better import changes, told
from resale.web.training.cards import DrillQuestion, all_drills, signal_name, taken_for
from resale.web.training.elapsed import seconds_since
from resale.web.training.photo_cards import (
    PhotoGoneError,
    drills_on_photos,
    question_for,
    with_photos,
)
from resale.web.training.progress import by_signal, by_zone, comes_back, due_count, met_count

screen = Blueprint("drill", __name__, url_prefix="/drill")

# A page left open over lunch says nothing about the answer.
LONGEST_SECONDS = 120.0
A_WEEK = 7 * 24 * 3600
TODAY, COURSE = "today", "course"
"""What a session may be about; else it is about whatever costs the shop most."""


@dataclass(frozen=True, slots=True)
class OpenSession:
    """A session as it stands: its plan follows from what was chosen and answered.

    Attributes
    ----------
    plan : tuple of Planned
        What was mixed up stands in it once more.
    answers : dict of int to SavedAnswer
        By place, in the order in which they were given.
    """

    saved: SavedSession
    plan: tuple[Planned, ...]
    answers: dict[int, SavedAnswer]

    @property
    def key(self) -> str:
        """Of the session."""
        return self.saved.key


@screen.get("")
def home() -> ResponseReturnValue:
    """Start a session, and show how far one has come."""
    (shop, now), person = shop_now(), here()
    progress = progress_of(shop.records, person.id)
    course = standing_of(shop, person, now)
    today = misread_today(shop, person, now)
    return render_template(
        "training/home.html",
        person=person,
        zones=by_zone(shop.book, progress, now),
        signals=by_signal(shop.book, answers_of(shop.records, person.id)),
        due=due_count(progress, now),
        met=met_count(progress),
        course=course,
        course_signs=[signal_name(shop.book, sign) for sign in course.today] if course else [],
        today=[signal_name(shop.book, sign) for sign in today],
        cards=CARDS,
    )


@screen.post("/start")
def start() -> ResponseReturnValue:
    """Choose the cards of a session and show the first."""
    (shop, now), person, key = shop_now(), here(), new_key()
    plan = with_photos(shop, _chosen(shop, request.form.get("about", "")))
    save_session(shop.records, key, person.id, plan, now)
    return redirect(address_of("drill.card", key=key, place=1), 303)


@screen.get("/session/<key>/<int:place>")
def card(key: str, place: int) -> ResponseReturnValue:
    """Show one card, or, once it is answered, the truth of it."""
    shop = current_shop()
    session = _session_with(shop, key, place)
    try:
        return _card_page(shop, session, place)
    except PhotoGoneError:
        return redirect(_after(session, place), 303)


@screen.post("/session/<key>/<int:place>")
def answer(key: str, place: int) -> ResponseReturnValue:
    """Judge and keep an answer; sent twice, the first one holds."""
    shop = current_shop()
    session = _session_with(shop, key, place)
    planned = session.plan[place - 1]
    try:
        question = question_for(shop, planned)
    except PhotoGoneError:
        return redirect(_after(session, place), 303)
    try:
        _same_card(planned)
        taken = question.taken(request.form.get("answer", ""))
    except ReadingError as fault:
        return make_response(_card_page(shop, session, place, fault.sentence), 422)
    new = NewAnswer(
        f"{key}/{place}",
        session.saved.person.id,
        planned.drill,
        planned.seed,
        question.signal_ids,
        taken,
        question.truth,
        question.is_right(taken),
        seconds_since(request.form.get("shown", ""), LONGEST_SECONDS),
    )
    record_answer(shop.records, new, shop.now())
    return redirect(address_of("drill.card", key=key, place=place), 303)


@screen.get("/session/<key>/done")
def done(key: str) -> ResponseReturnValue:
    """End a session: what was right, what comes back when, which signs to look at."""
    shop = current_shop()
    session = _own_session(shop, key)
    answers = session.answers
    given = [answers[place] for place in sorted(answers)]
    progress = progress_of(shop.records, session.saved.person.id)
    wrong = dict.fromkeys(sign for one in given if not one.right for sign in one.signal_ids)
    found = changes(shop.book, answers_of(shop.records, session.saved.person.id), key)
    return render_template(
        "training/done.html",
        saved=session.saved,
        answers=given,
        right=sum(one.right for one in given),
        changes=found,
        told=told(found),
        back=comes_back(
            shop.book, [one.drill for one in session.plan], given, progress, shop.now()
        ),
        signs=[_sign(shop, sign) for sign in wrong],
        left=next((p for p in range(1, len(session.plan) + 1) if p not in answers), None),
    )


@screen.get("/drawing/<family>/<int:level>/<int:seed>/<view>.svg")
def drawing(family: str, level: int, seed: int, view: str) -> ResponseReturnValue:
    """Give a drawing; the same address always gives the same one, so it may be kept."""
    taken = request.args.get("as", "")
    try:
        exercise = drawn_as(family, level, seed, taken) if taken else make(family, level, seed)
    except ReadingError as fault:
        raise NotFound from fault
    if view not in {"plain", "shown"}:
        raise NotFound
    text = exercise.svg if view == "plain" else exercise.reveal_svg
    response = Response(text, mimetype="image/svg+xml")
    response.add_etag()
    response.cache_control.private = True
    response.cache_control.max_age = A_WEEK
    return response.make_conditional(request)


def _chosen(shop: Shop, about: str) -> tuple[Planned, ...]:
    """Choose what a session is about: a course, today's bench, or what costs most."""
    person, now = here(), shop.here()
    stated = introduction_of(shop.records, person.id)
    later = stated.held_back(now.date()) if stated else frozenset()
    every = (*all_drills(shop.book), *drills_on_photos(shop))
    drills = tuple(one for one in every if not later.intersection(one.signal_ids))
    course = standing_of(shop, person, now)
    if about == TODAY:
        reason = "Today you read this otherwise than a lead did."
        signs = misread_today(shop, person, now)
        return choose_for(shop, person, drills, now, about=signs, reason=reason)
    if course is None or course.is_done:
        return choose_for(shop, person, drills, now)
    return choose_for(
        shop,
        person,
        drills,
        now,
        cards=course.course.cards,
        about=course.today,
        kinds=course.course.kinds,
        reason=f"Day {course.day} of your course, {course.course.name}.",
    )


def _session_with(shop: Shop, key: str, place: int) -> OpenSession:
    session = _own_session(shop, key)
    if not 1 <= place <= len(session.plan):
        raise NoSuchSessionError("this session has no such card", remedy="go back to the Drill")
    return session


def _own_session(shop: Shop, key: str) -> OpenSession:
    saved = session_of(shop.records, key)
    if saved.person.id != here().id:
        raise NoSuchSessionError(
            "this session is somebody else's", where="Drill", remedy="start one of your own"
        )
    answers = answers_in(shop.records, key)
    given = [Given(place, one.answer, one.truth, one.right) for place, one in answers.items()]
    plan = enumerate(with_contrasts(saved.plan, given), 1)
    stands = tuple(answers[at].asked(one) if at in answers else one for at, one in plan)
    return OpenSession(saved, stands, answers)


def _same_card(planned: Planned) -> None:
    """Refuse an answer to another card: a page left open may show what has since moved on."""
    seed = request.form.get("seed", "")
    if seed and seed != str(planned.seed):
        raise ReadingError(
            "this card was another one when the page was opened", remedy="answer the one shown now"
        )


def _after(session: OpenSession, place: int) -> str:
    """Address of what comes after a place: the next card, or the end."""
    if place < len(session.plan):
        return address_of("drill.card", key=session.key, place=place + 1)
    return address_of("drill.done", key=session.key)


def _card_page(shop: Shop, session: OpenSession, place: int, fault: str = "") -> str:
    planned = session.plan[place - 1]
    question: DrillQuestion = question_for(shop, planned)
    given = session.answers.get(place)
    return render_template(
        "training/card.html",
        saved=session,
        place=place,
        planned=planned,
        because=planned.because or WORDS.get(planned.why, ""),
        question=question,
        given=given,
        beside=taken_for(planned, given.answer) if given and not given.right else None,
        answers=session.answers,
        zone=shop.book.zone_names.get(question.zone, ""),
        fault=fault,
        shown=f"{time.time():.2f}",
    )


def _sign(shop: Shop, signal_id: str) -> dict[str, Any]:
    """Name a sign, with how to look at it, for whoever got it wrong."""
    for kind in shop.book.kinds.values():
        if signal_id in kind.by_id:
            return {"kind": kind, "signal": kind.by_id[signal_id]}
    return {"kind": None, "signal": None, "name": signal_name(shop.book, signal_id)}
