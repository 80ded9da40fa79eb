"""The team: who works here, in which role, and the links that let them in."""

from __future__ import annotations

from typing import cast

from flask import Blueprint, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue
from werkzeug.utils import redirect

from resale.errors import ResaleError
from resale.services.people.add_person import add_person
from resale.services.people.change_role import change_role
from resale.services.people.entry_link import make_entry_link, take_second_steps_off
from resale.services.people.let_go import let_go
from resale.services.people.sign_out import sign_out_everywhere
from resale.storage.items.store import NotSavedError
from resale.storage.people.invitations import GOOD_FOR
from resale.storage.people.people import (
    RANK,
    Person,
    Role,
    people,
    person_by_id,
)
from resale.storage.people.second_steps import has_second_step
from resale.web.access.current_user import me
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
    invited = add_person(shop.records, me(), request.form.get("name", ""), role, shop.now())
    return _with_link(shop, invited.person, invited.token)


@screen.post("/<int:person>/link")
def link(person: int) -> ResponseReturnValue:
    """Make a new link for somebody who lost the password."""
    shop = current_shop()
    somebody = _somebody(shop, person)
    token = make_entry_link(shop.records, me(), somebody, shop.now())
    return _with_link(shop, somebody, token)


@screen.post("/<int:person>/role")
def change(person: int) -> ResponseReturnValue:
    """Give somebody another role; they sign in anew, so that it holds everywhere."""
    shop = current_shop()
    role = _role(request.form.get("role", ""))
    change_role(shop.records, me(), person, role, shop.now())
    return redirect(address_of("team.listed"), 303)


@screen.post("/<int:person>/out")
def sign_out(person: int) -> ResponseReturnValue:
    """Sign somebody out on every browser: a tablet was lost."""
    shop = current_shop()
    sign_out_everywhere(shop.records, me(), _somebody(shop, person), shop.now())
    return redirect(address_of("team.listed"), 303)


@screen.post("/<int:person>/second-step-off")
def no_second_step(person: int) -> ResponseReturnValue:
    """Take every second step off somebody who lost them all; they sign in by a new link."""
    shop = current_shop()
    somebody = _somebody(shop, person)
    token = take_second_steps_off(shop.records, me(), somebody, shop.now())
    return _with_link(shop, somebody, token)


@screen.post("/<int:person>/go")
def go(person: int) -> ResponseReturnValue:
    """Let somebody go."""
    shop = current_shop()
    let_go(shop.records, me(), person, shop.now())
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


def _with_link(shop: Shop, person: Person, token: str) -> str:
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
