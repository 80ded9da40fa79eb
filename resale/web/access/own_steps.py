"""One's own second steps: set one up, take one off, get new codes for a bad day.

Each asks for the password again: whoever finds a tablet signed in changes nothing about the door.
"""

from __future__ import annotations

import segno
from flask import Blueprint, current_app, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.errors import ResaleError
from resale.services.people.second_steps import (
    add_passkey,
    begin_app,
    new_codes,
    prove_app,
    take_off,
)
from resale.storage.people.one_time_codes import address_for_app, unproved_seed
from resale.storage.people.passwords import person_with
from resale.storage.people.recovery_codes import codes_left
from resale.storage.people.second_steps import has_second_step, second_steps
from resale.web.access import passkeys
from resale.web.access.current_user import here, me, my_token
from resale.web.core.rate_limits import limiter
from resale.web.core.shop import Shop, current_shop

screen = Blueprint("own_steps", __name__, url_prefix="/you/second")
ANOTHER_ONE = "The present password is another one; write it again."
GUESSES = limiter.shared_limit(
    "10 per 5 minutes",
    scope="the password again",
    deduct_when=lambda answer: answer.status_code == 422,
)


class NotThePasswordError(ResaleError):
    """The password that was asked for again is another one."""


@screen.get("")
def listed() -> ResponseReturnValue:
    """Show what there is, and how to set one up."""
    return _page(current_shop())


@screen.post("/app")
@GUESSES
def app() -> ResponseReturnValue:
    """Make a seed, and show it for the app to read."""
    shop = current_shop()
    _ask_password(shop)
    begin_app(shop.records, me(), here(), shop.now())
    return redirect(address_of("own_steps.show_seed"), 303)


@screen.get("/app")
def show_seed() -> ResponseReturnValue:
    """Show the seed that waits for its first code."""
    return _seed_page(current_shop())


@screen.post("/app/code")
@limiter.limit("10 per 5 minutes", deduct_when=lambda answer: answer.status_code == 422)
def first_code() -> ResponseReturnValue:
    """Take the first code, which shows that the app has the seed."""
    shop = current_shop()
    try:
        code = request.form.get("code", "")
        made = prove_app(shop.records, me(), here(), code, shop.now())
    except ResaleError as fault:
        return make_response(_seed_page(shop, fault.sentence), 422)
    return _with_codes(shop, made)


@screen.post("/passkey")
@GUESSES
def passkey() -> ResponseReturnValue:
    """Ask the browser to make a passkey."""
    shop = current_shop()
    _ask_password(shop)
    challenge = passkeys.to_register(shop.records, my_token(), here(), shop.settings.name)
    return render_template("access/new_passkey.html", challenge=challenge)


@screen.post("/passkey/answer")
def passkey_made() -> ResponseReturnValue:
    """Keep the passkey that the browser made."""
    shop, form = current_shop(), request.form
    answer, name = form.get("answer", ""), form.get("name", "")
    passkey = passkeys.made_by_browser(shop.records, my_token(), answer, name)
    return _with_codes(shop, add_passkey(shop.records, me(), here(), passkey, shop.now()))


@screen.post("/<int:step>/off")
@GUESSES
def off(step: int) -> ResponseReturnValue:
    """Take one off."""
    shop = current_shop()
    _ask_password(shop)
    take_off(shop.records, me(), here(), step, shop.now())
    return redirect(address_of("own_steps.listed"), 303)


@screen.post("/codes")
@GUESSES
def codes() -> ResponseReturnValue:
    """Make new codes for a bad day; those of before are good no longer."""
    shop = current_shop()
    _ask_password(shop)
    if not has_second_step(shop.records, here()):
        raise ResaleError("there is no second step yet", remedy="set an app or a passkey up first")
    return _page_once(_page(shop, codes=new_codes(shop.records, me(), here(), shop.now())))


@screen.errorhandler(NotThePasswordError)
def _not_the_password(fault: NotThePasswordError) -> ResponseReturnValue:
    return make_response(_page(current_shop(), fault=ANOTHER_ONE), 422)


def _ask_password(shop: Shop) -> None:
    if current_app.config["OPEN_DEMO"]:
        # Nobody there has a password.
        return
    if person_with(shop.records, here().name, request.form.get("password", "")) is None:
        raise NotThePasswordError(ANOTHER_ONE)


def _with_codes(shop: Shop, codes: tuple[str, ...]) -> ResponseReturnValue:
    """Show the codes that came with the first second step; later ones bring none."""
    if not codes:
        return redirect(address_of("own_steps.listed"), 303)
    return _page_once(_page(shop, codes=codes))


def _page_once(page: str) -> ResponseReturnValue:
    answer = make_response(page)
    # The page holds secrets: neither the browser's store nor its way back may show it again.
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _page(shop: Shop, fault: str = "", codes: tuple[str, ...] = ()) -> str:
    return render_template(
        "access/own_steps.html",
        steps=second_steps(shop.records, here()),
        left=codes_left(shop.records, here()),
        passkeys_here=passkeys.can_be_used(),
        fault=fault,
        codes=codes,
    )


def _seed_page(shop: Shop, fault: str = "") -> ResponseReturnValue:
    seed = unproved_seed(shop.records, here())
    if seed is None:
        return redirect(address_of("own_steps.listed"), 303)
    address = address_for_app(seed, here().name, shop.settings.name)
    drawn = segno.make(address, micro=False).svg_inline(scale=5, border=4, omitsize=False)
    spaced = " ".join(seed[i : i + 4] for i in range(0, len(seed), 4))
    page = render_template(
        "access/new_app.html",
        drawn=drawn,
        seed=spaced,
        fault=fault,
    )
    return _page_once(page)
