"""The guard before every address: who is let through; refusals and sign-ins are written down."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Flask, current_app, g, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_login import LoginManager

from resale.storage.db.server_faults import ServerError
from resale.storage.people.audit_log import write_audit_entry
from resale.storage.people.people import Person, Role, has_owner, people
from resale.storage.people.second_steps import has_second_step
from resale.storage.people.sessions import person_of_session
from resale.web.access.current_user import SignedIn, here, sign_in, signed_in
from resale.web.access.permissions import is_open, permission_for
from resale.web.core.error_pages import trouble
from resale.web.core.shop import current_shop

STEPPED_OUT = "stepped_out"
NO_OWNER = (
    "This shop has no owner yet. Open the link that the program printed when it started; "
    "'resale let-in' prints a new one."
)
SIGN_IN_AGAIN = "You are signed out, so nothing was changed. Sign in and send it again."
SECOND_STEP_FIRST = (
    "This shop asks you for a second step at the door; set one up first, under your name. Nothing "
    "was changed."
)
ASKED_FROM: dict[str, Role] = {"leads": "lead", "everybody": "sorter"}
TO_SET_UP = frozenset({"own_steps", "sign_in"})
NOT_YOURS = "This is for {least}; nothing was changed. Ask one of them, or sign in as another."
ROLE_WORDS = {"sorter": "a sorter", "lead": "a lead or the owner", "owner": "the owner"}


def init_app(app: Flask) -> None:
    """Put the guard before an application."""
    # Its own word for templates would ask the records on every page, also where they are away.
    manager = LoginManager(app, add_context_processor=False)
    manager.session_protection = "basic"
    manager.user_loader(_load_user)
    app.before_request(_let_through)
    app.context_processor(lambda: {"me": _whoever()})
    app.jinja_env.globals["mine"] = mine


def _load_user(token: str) -> SignedIn | None:
    shop = current_shop()
    person = person_of_session(shop.records, token, shop.now())
    return SignedIn(person, token) if person else None


def _whoever() -> Person | None:
    """Who is signed in; a page that says that the records are away cannot ask them."""
    if not g.get("records_away"):
        try:
            return signed_in()
        except ServerError:
            g.records_away = True
    return None


def mine(endpoint: str) -> bool:
    """Whether whoever reads the page may go there; what they may not do is not offered."""
    person = _whoever()
    return person is not None and person.may(permission_for(endpoint).least)


def _let_through() -> ResponseReturnValue | None:
    endpoint = request.endpoint
    if endpoint is None or is_open(endpoint):
        return None
    person = signed_in() or _invented_owner()
    if person is None:
        return _stranger()
    permission = permission_for(endpoint)
    if not person.may(permission.least):
        note_attempt(person, "was refused", endpoint)
        return trouble(NOT_YOURS.format(least=ROLE_WORDS[permission.least]), 403)
    if _sets_up_first(person, endpoint):
        if request.method in {"GET", "HEAD"} and not request.headers.get("HX-Request"):
            return redirect(url_for("own_steps.listed"), 303)
        return trouble(SECOND_STEP_FIRST, 403)
    return None


def _sets_up_first(person: Person, endpoint: str) -> bool:
    """Whether the shop asks for a second step that this person has not set up yet."""
    shop = current_shop()
    least = ASKED_FROM.get(shop.settings.second_step)
    asked = least is not None and person.may(least) and not current_app.config["OPEN_DEMO"]
    if not asked or endpoint.partition(".")[0] in TO_SET_UP:
        return False
    return not has_second_step(shop.records, person)


def _invented_owner() -> Person | None:
    """Let a first visitor of the invented shop in as its owner: there is nothing to keep safe."""
    if not current_app.config["OPEN_DEMO"] or session.get(STEPPED_OUT):
        return None
    shop = current_shop()
    sign_in(shop, people(shop.records)[0], request.user_agent.string)
    return here()


def _stranger() -> ResponseReturnValue:
    shop = current_shop()
    if request.method not in {"GET", "HEAD"} or request.headers.get("HX-Request"):
        return trouble(SIGN_IN_AGAIN, 401)
    if not has_owner(shop.records):
        return trouble(NO_OWNER, 403)
    wanted = request.full_path.rstrip("?")
    query = "" if wanted == "/" else "?" + urlencode({"next": wanted})
    return redirect(url_for("sign_in.ask") + query, 303)


def note_attempt(person: Person, what: str, about: str = "") -> None:
    """Write down an attempt at a door that is not open, or who came through one.

    Parameters
    ----------
    person : Person
        Whoever is signed in.
    what : str
        Name of what happened, as the audit log has it.
    about : str, optional
        What it was about, such as the address.
    """
    shop = current_shop()
    write_audit_entry(
        shop.records,
        by_whom=person.name,
        role=person.role,
        what=what,
        about=about,
        at=shop.now(),
        data={"from": request.remote_addr or ""},
    )
