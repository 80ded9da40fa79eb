"""The second step at the door: a code of an app, a passkey, or a code kept for a bad day."""

from __future__ import annotations

from flask import Blueprint, make_response, redirect, render_template, request, session
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.storage.people.one_time_codes import take_code
from resale.storage.people.people import Person
from resale.storage.people.recovery_codes import codes_left, take_recovery_code
from resale.storage.people.second_steps import has_second_step
from resale.storage.people.sessions import end_session, person_of_half_session, start_session
from resale.web.access import passkeys
from resale.web.access.current_user import BROWSER_UNKNOWN, sign_in
from resale.web.access.guard import note_attempt
from resale.web.access.guesses import BY_ADDRESS, BY_NAME, guesses
from resale.web.core.shop import Shop, current_shop

screen = Blueprint("second_step", __name__, url_prefix="/sign-in/second")
HALF, WANTED = "half_in", "wanted"
WRONG = "This is not right, or was used already; try once more."
WAITED = "That took too long; begin again with your name."


def come_in(shop: Shop, person: Person, wanted: str, how: str) -> ResponseReturnValue:
    """Let in somebody whose password was right; ask for the second step where they have one.

    Parameters
    ----------
    wanted : str
        Where they wanted to go, an address of our own.
    how : str
        What is written down of it.
    """
    browser = request.user_agent.string
    if not has_second_step(shop.records, person):
        sign_in(shop, person, browser)
        note_attempt(person, how)
        return redirect(wanted, 303)
    session.clear()
    session[WANTED], session[HALF] = (
        wanted,
        start_session(shop.records, person.id, browser or BROWSER_UNKNOWN, shop.now(), half=True),
    )
    return redirect(address_of("second_step.ask"), 303)


@screen.get("")
def ask() -> ResponseReturnValue:
    """Ask for the second step."""
    person = _waiting(current_shop())
    return _page(person) if person else redirect(address_of("sign_in.ask"), 303)


@screen.post("")
def do() -> ResponseReturnValue:
    """Let in whoever shows what only they have."""
    shop = current_shop()
    person = _waiting(shop)
    if person is None:
        return redirect(address_of("sign_in.ask"), 303)
    limits = {f"from {request.remote_addr}": BY_ADDRESS, f"second step of {person.id}": BY_NAME}
    with guesses().guess(limits) as guess:
        how = _shown(shop, person)
        guess.right = bool(how)
    if not how:
        note_attempt(person, "failed the second step")
        return make_response(_page(person, WRONG), 401)
    wanted = session.get(WANTED, "/")
    end_session(shop.records, session.pop(HALF, ""), shop.now())
    sign_in(shop, person, request.user_agent.string)
    note_attempt(person, f"signed in, with {how}")
    if how == "a kept code" and not codes_left(shop.records, person):
        return redirect(address_of("own_steps.listed"), 303)
    return redirect(wanted, 303)


def _shown(shop: Shop, person: Person) -> str:
    """What the form shows that is right; empty where nothing is."""
    code, answer, now = request.form.get("code", ""), request.form.get("answer", ""), shop.now()
    if answer:
        token = session.get(HALF, "")
        right = passkeys.is_right(shop.records, token, person, answer, now)
        return "a passkey" if right else ""
    if take_code(shop.records, person, code, now):
        return "a code of the app"
    return "a kept code" if take_recovery_code(shop.records, person, code, now) else ""


def _waiting(shop: Shop) -> Person | None:
    return person_of_half_session(shop.records, session.get(HALF, ""), shop.now())


def _page(person: Person, fault: str = "") -> str:
    shop = current_shop()
    token = session.get(HALF, "")
    return render_template(
        "access/second_step.html",
        person=person,
        fault=fault,
        passkey=passkeys.to_answer(shop.records, token, person),
    )
