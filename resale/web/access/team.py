"""The team: who works here, in which role, and the links that let them in."""

from __future__ import annotations

from typing import cast

from flask import Blueprint, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue
from werkzeug.utils import redirect

from resale.errors import ResaleError
from resale.storage.items.store import NotSavedError
from resale.storage.people.invitations import GOOD_FOR, make_entry_link
from resale.storage.people.people import (
    RANK,
    Person,
    Role,
    let_go,
    people,
    person_by_id,
    set_role,
    take_back,
)
from resale.storage.people.second_steps import has_second_step, take_all_off
from resale.storage.people.sessions import end_all_sessions
from resale.web.core.shop import Shop, current_shop

screen = Blueprint("team", __name__, url_prefix="/team")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List everybody."""
    return _page(current_shop())


@screen.post("")
def add() -> ResponseReturnValue:
    """Add somebody, and show the link that lets them in."""
    shop = current_shop()
    role = _role(request.form.get("role", ""))
    person = take_back(shop.records, request.form.get("name", ""), role, shop.now())
    return _with_link(shop, person)


@screen.post("/<int:person>/link")
def link(person: int) -> ResponseReturnValue:
    """Make a new link for somebody who lost the password."""
    shop = current_shop()
    return _with_link(shop, _somebody(shop, person))


@screen.post("/<int:person>/role")
def change(person: int) -> ResponseReturnValue:
    """Give somebody another role; they sign in anew, so that it holds everywhere."""
    shop = current_shop()
    set_role(shop.records, person, _role(request.form.get("role", "")))
    return redirect(address_of("team.listed"), 303)


@screen.post("/<int:person>/out")
def sign_out(person: int) -> ResponseReturnValue:
    """Sign somebody out on every browser: a tablet was lost."""
    shop = current_shop()
    end_all_sessions(shop.records, _somebody(shop, person).id, shop.now())
    return redirect(address_of("team.listed"), 303)


@screen.post("/<int:person>/second-step-off")
def no_second_step(person: int) -> ResponseReturnValue:
    """Take every second step off somebody who lost them all; they sign in by a new link."""
    shop = current_shop()
    somebody = _somebody(shop, person)
    take_all_off(shop.records, somebody)
    end_all_sessions(shop.records, somebody.id, shop.now())
    return _with_link(shop, somebody)


@screen.post("/<int:person>/go")
def go(person: int) -> ResponseReturnValue:
    """Let somebody go."""
    shop = current_shop()
    let_go(shop.records, person, shop.now())
    end_all_sessions(shop.records, person, shop.now())
    return redirect(address_of("team.listed"), 303)


def _page(shop: Shop, made: Person | None = None, made_link: str = "") -> str:
    everybody = people(shop.records)
    return render_template(
        "access/team.html",
        everybody=everybody,
        with_second_step={one.id for one in everybody if has_second_step(shop.records, one)},
        roles=tuple(RANK),
        made=made,
        made_link=made_link,
        good_days=GOOD_FOR.days,
    )


def _with_link(shop: Shop, person: Person) -> str:
    token = make_entry_link(shop.records, person.id, shop.now())
    return _page(shop, person, address_of("sign_in.enter", token=token, _external=True))


def _somebody(shop: Shop, person_id: int) -> Person:
    person = person_by_id(shop.records, person_id)
    if person is None:
        raise NotSavedError("nobody of this number works here", remedy="pick a name of the list")
    return person


def _role(text: str) -> Role:
    if text not in RANK:
        raise ResaleError(
            f"there is no role {text[:20]!r}", where="Role", remedy=f"pick one of {', '.join(RANK)}"
        )
    return cast("Role", text)
