"""The Drill: a short session of cards, one drawing and one question at a time."""

from __future__ import annotations

import time
from random import SystemRandom
from typing import Any

from flask import Blueprint, Response, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from resale.errors import ReadingError
from resale.services.items.entry import new_key
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
    progress_of,
    record_answer,
)
from resale.storage.people.introductions import introduction_of
from resale.training.drawings.families import make
from resale.training.practice.session import choose_session
from resale.web.access.current_user import here
from resale.web.core.shop import Shop, current_shop
from resale.web.training.cards import DrillQuestion, all_drills, signal_name
from resale.web.training.elapsed import seconds_since
from resale.web.training.photo_cards import (
    PhotoGoneError,
    drills_on_photos,
    question_for,
    with_photos,
)
from resale.web.training.progress import by_signal, by_zone, comes_back, due_count
from resale.web.training.readings_twice import misread_rates

screen = Blueprint("drill", __name__, url_prefix="/drill")

# A page left open over lunch says nothing about the answer.
LONGEST_SECONDS = 120.0
MOST_CARDS = 12
WEAK_FROM, WEAK_AT_ONCE = 0.12, 2
"""Signs that the shop misreads so often get practised, a few in one session."""

BEGINNER = 9
"""Drills met below which variety comes before what the shop misreads."""

A_WEEK = 7 * 24 * 3600


@screen.get("")
def home() -> ResponseReturnValue:
    """Start a session, and show how far one has come."""
    shop, person = current_shop(), here()
    now, progress = shop.now(), progress_of(shop.records, person.id)
    return render_template(
        "training/home.html",
        person=person,
        zones=by_zone(shop.book, progress, now),
        signals=by_signal(shop.book, progress, now),
        due=due_count(progress, now),
        met=len(progress.drills),
    )


@screen.post("/start")
def start() -> ResponseReturnValue:
    """Choose the cards of a session and show the first."""
    shop = current_shop()
    person, key = here(), new_key()
    progress = progress_of(shop.records, person.id)
    beginner = len(progress.drills) < BEGINNER
    stated = introduction_of(shop.records, person.id)
    later = stated.held_back(shop.here().date()) if stated else frozenset()
    drills = (*all_drills(shop.book), *drills_on_photos(shop))
    plan = choose_session(
        tuple(one for one in drills if not later.intersection(one.signal_ids)),
        progress,
        shop.now(),
        SystemRandom(),
        weak={} if beginner else _weak_today(misread_rates(shop)),
    )[:MOST_CARDS]
    plan = with_photos(shop, plan)
    save_session(shop.records, key, person.id, plan, shop.now())
    return redirect(address_of("drill.card", key=key, place=1), 303)


@screen.get("/session/<key>/<int:place>")
def card(key: str, place: int) -> ResponseReturnValue:
    """Show one card, or, once it is answered, the truth of it."""
    shop = current_shop()
    saved = _session_with(shop, key, place)
    answers = answers_in(shop.records, key)
    try:
        return _card_page(shop, saved, place, answers)
    except PhotoGoneError:
        return redirect(_after(saved, place), 303)


@screen.post("/session/<key>/<int:place>")
def answer(key: str, place: int) -> ResponseReturnValue:
    """Judge and keep an answer; sent twice, the first one holds."""
    shop = current_shop()
    saved = _session_with(shop, key, place)
    planned = saved.plan[place - 1]
    try:
        question = question_for(shop, planned)
    except PhotoGoneError:
        return redirect(_after(saved, place), 303)
    try:
        taken = question.taken(request.form.get("answer", ""))
    except ReadingError as fault:
        page = _card_page(shop, saved, place, answers_in(shop.records, key), fault.sentence)
        return make_response(page, 422)
    new = NewAnswer(
        f"{key}/{place}",
        saved.person.id,
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
    saved, answers = _own_session(shop, key), answers_in(shop.records, key)
    given = [answers[place] for place in sorted(answers)]
    progress = progress_of(shop.records, saved.person.id)
    wrong = dict.fromkeys(sign for one in given if not one.right for sign in one.signal_ids)
    return render_template(
        "training/done.html",
        saved=saved,
        answers=given,
        right=sum(one.right for one in given),
        back=comes_back(shop.book, [one.drill for one in saved.plan], given, progress, shop.now()),
        signs=[_sign(shop, sign) for sign in wrong],
        left=next((p for p in range(1, len(saved.plan) + 1) if p not in answers), None),
    )


@screen.get("/drawing/<family>/<int:level>/<int:seed>/<view>.svg")
def drawing(family: str, level: int, seed: int, view: str) -> ResponseReturnValue:
    """Give a drawing; the same address always gives the same one, so it may be kept."""
    try:
        exercise = make(family, level, seed)
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


def _weak_today(rates: dict[str, float]) -> dict[str, float]:
    """Pick a few of the signs that the shop misreads: all of them at once would be all there is."""
    often = sorted(sign for sign, rate in rates.items() if rate >= WEAK_FROM)
    picked = SystemRandom().sample(often, min(WEAK_AT_ONCE, len(often)))
    return {sign: rates[sign] for sign in picked}


def _session_with(shop: Shop, key: str, place: int) -> SavedSession:
    saved = _own_session(shop, key)
    if not 1 <= place <= len(saved.plan):
        raise NoSuchSessionError("this session has no such card", remedy="go back to the Drill")
    return saved


def _own_session(shop: Shop, key: str) -> SavedSession:
    saved = session_of(shop.records, key)
    if saved.person.id != here().id:
        raise NoSuchSessionError(
            "this session is somebody else's", where="Drill", remedy="start one of your own"
        )
    return saved


def _after(saved: SavedSession, place: int) -> str:
    """Address of what comes after a place: the next card, or the end."""
    if place < len(saved.plan):
        return address_of("drill.card", key=saved.key, place=place + 1)
    return address_of("drill.done", key=saved.key)


def _card_page(
    shop: Shop, saved: SavedSession, place: int, answers: dict[int, SavedAnswer], fault: str = ""
) -> str:
    planned = saved.plan[place - 1]
    question: DrillQuestion = question_for(shop, planned)
    return render_template(
        "training/card.html",
        saved=saved,
        place=place,
        planned=planned,
        question=question,
        given=answers.get(place),
        answers=answers,
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
