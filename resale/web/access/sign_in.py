"""The doors: signing in and out, and the link that lets somebody in once."""

from __future__ import annotations

from flask import Blueprint, current_app, make_response, redirect, render_template, request, session
from flask import url_for as address_of
from flask.typing import ResponseReturnValue
from flask_login import logout_user

from resale.config.loopback import is_loopback, without_port
from resale.errors import ResaleError
from resale.services.people.change_password import change_password
from resale.services.people.sign_out import sign_out as close_session
from resale.services.people.sign_out import sign_out_everywhere as close_everywhere
from resale.services.people.take_up_link import take_up_link
from resale.storage.people.invitations import open_entry_link
from resale.storage.people.passwords import check_strength, person_with
from resale.storage.people.people import (
    Person,
    has_owner,
    people,
    person_by_id,
    person_named,
    tidy_name,
)
from resale.storage.people.sessions import sessions_of
from resale.web.access.current_user import here, me, sign_in, signed_in
from resale.web.access.guard import STEPPED_OUT, note_attempt
from resale.web.access.guesses import BY_ADDRESS, BY_NAME, guesses
from resale.web.access.second_step import come_in
from resale.web.core.rate_limits import limiter
from resale.web.core.shop import Shop, current_shop

screen = Blueprint("sign_in", __name__)

WRONG = "This name and password do not belong together; write both again."
DIFFER = "The two passwords differ; write the same one twice."


def _name_typed() -> str:
    return " ".join(request.form.get("name", "").split())[:60].casefold()


@screen.get("/sign-in")
def ask() -> ResponseReturnValue:
    """Ask who it is."""
    if signed_in():
        return redirect(_wanted(), 303)
    return _sign_in_page()


@screen.post("/sign-in")
def let_in() -> ResponseReturnValue:
    """Let in whoever knows the password."""
    shop = current_shop()
    name = request.form.get("name", "")[:200]
    if invented := _invented_person(shop):
        sign_in(shop, invented, request.user_agent.string)
        note_attempt(invented, "signed in")
        return redirect(_wanted(), 303)
    limits = {f"from {request.remote_addr}": BY_ADDRESS, f"for {_name_typed()}": BY_NAME}
    with guesses().guess(limits) as guess:
        person = person_with(shop.records, name, request.form.get("password", ""))
        guess.right = person is not None
    if person is None:
        # Only for names that are known: what a stranger types may be a password.
        if known := person_named(shop.records, name):
            note_attempt(known, "failed to sign in")
        return make_response(_sign_in_page(WRONG, name), 401)
    return come_in(shop, person, _wanted(), "signed in")


@screen.get("/enter/<token>")
def enter(token: str) -> ResponseReturnValue:
    """Ask whoever holds a link for a password; looking uses no link up."""
    return _first_password(token)


@screen.post("/enter/<token>")
@limiter.limit("20 per minute")
def take_up(token: str) -> ResponseReturnValue:
    """Set the password, use the link up, and sign in."""
    shop = current_shop()
    form = request.form
    link = open_entry_link(shop.records, token, shop.now())
    if form.get("password", "") != form.get("again", ""):
        return make_response(_first_password(token, DIFFER), 422)
    try:
        name = link.person.name if link.person else tidy_name(form.get("name", ""))
        check_strength(form.get("password", ""), name)
    except ResaleError as fault:
        return make_response(_first_password(token, fault.sentence), 422)
    person = take_up_link(shop.records, token, link, name, form["password"], shop.now())
    # A link stands for a lost password, and for nothing else that a person has.
    return come_in(shop, person, "/", "came in by a link")


@screen.get("/you")
def you() -> ResponseReturnValue:
    """Show who is signed in, where else, and how to go."""
    return _own_page(current_shop())


@screen.post("/you/password")
def new_password() -> ResponseReturnValue:
    """Change one's own password; every other browser is signed out."""
    shop, person, form = current_shop(), here(), request.form
    with guesses().guess({f"old of {person.id}": BY_NAME}) as guess:
        known = person_with(shop.records, person.name, form.get("old", "")) is not None
        guess.right = known
    if not known:
        fault = "The present password is another one; write it again."
        return make_response(_own_page(shop, fault), 422)
    if form.get("password", "") != form.get("again", ""):
        return make_response(_own_page(shop, DIFFER), 422)
    try:
        change_password(shop.records, me(), person, form.get("password", ""), shop.now())
    except ResaleError as fault:
        return make_response(_own_page(shop, fault.sentence), 422)
    sign_in(shop, person, request.user_agent.string)
    return redirect(address_of("sign_in.you", done="password"), 303)


@screen.post("/sign-out")
def sign_out() -> ResponseReturnValue:
    """Sign this browser out."""
    shop = current_shop()
    close_session(shop.records, me(), session.get("_user_id", ""), shop.now())
    return _gone()


@screen.post("/sign-out-everywhere")
def sign_out_everywhere() -> ResponseReturnValue:
    """Sign oneself out on every browser."""
    shop = current_shop()
    close_everywhere(shop.records, me(), here(), shop.now())
    return _gone()


def _gone() -> ResponseReturnValue:
    logout_user()
    session.clear()
    session[STEPPED_OUT] = True
    answer = redirect(address_of("sign_in.ask"), 303)
    # What this browser kept of pages goes; drafts and what waits to be sent stay (storage does).
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


def _sign_in_page(fault: str = "", name: str = "") -> str:
    shop = current_shop()
    return render_template(
        "access/sign_in.html",
        fault=fault,
        name=name,
        wanted=_wanted(),
        invented=people(shop.records) if current_app.config["OPEN_DEMO"] else (),
        no_owner=not has_owner(shop.records),
        open_wire=_open_wire(),
    )


def _first_password(token: str, fault: str = "") -> str:
    shop = current_shop()
    link = open_entry_link(shop.records, token, shop.now())
    name = link.person.name if link.person else request.form.get("name", "")
    return render_template(
        "access/enter.html", token=token, link=link, name=name, fault=fault, open_wire=_open_wire()
    )


def _own_page(shop: Shop, fault: str = "") -> str:
    return render_template(
        "access/you.html",
        sessions=sessions_of(shop.records, here().id, shop.now()),
        fault=fault,
        done=request.args.get("done", ""),
    )


def _invented_person(shop: Shop) -> Person | None:
    """Whoever was picked in the invented shop, where nobody has a password."""
    picked = request.form.get("person", 0, type=int)
    return person_by_id(shop.records, picked) if current_app.config["OPEN_DEMO"] else None


def _wanted() -> str:
    """Where the visitor wanted to go; never to another machine."""
    wanted = request.values.get("next", "/")
    inside = wanted.startswith("/") and not wanted.startswith(("//", "/\\")) and "\\" not in wanted
    return wanted if inside and wanted.isprintable() else "/"


def _open_wire() -> bool:
    """Whether a password would go over a network where others can read it."""
    return not request.is_secure and not is_loopback(without_port(request.host))
