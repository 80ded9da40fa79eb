"""Held: what waits for a lead, why, what to do meanwhile, and how it is cleared."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ResaleError
from resale.safety.holds import WHO, hand_holds
from resale.services.holds.begin_treatment import begin_treatment
from resale.services.holds.clear_hold import clear_hold
from resale.services.holds.pass_on_held import pass_on_held
from resale.services.holds.raise_by_hand import raise_hold
from resale.services.items.entry import new_key
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.hold_rows import HandRaised
from resale.storage.ledger.holds import hold_history, open_holds, waiting
from resale.storage.ledger.ledger import ItemLife, item_life
from resale.storage.ledger.write_holds import Clearing, HoldError
from resale.web.access.current_user import me
from resale.web.core.shop import Shop, current_shop
from resale.web.core.wording import STANDS
from resale.web.safety.wording import STATUS_WORDS, HeldView, lines_of, views_of

screen = Blueprint("holds", __name__, url_prefix="/held")
LONGEST_KEY = 64
OVER = ("sold", "gone")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List what waits, item by item, those that wait longest first."""
    shop = current_shop()
    at = shop.here()
    held = {number: views_of(one, at) for number, one in waiting(shop.records).items()}
    order = sorted(held, key=lambda number: (min(one.held.since for one in held[number]), number))
    return render_template("safety/list.html", held={number: held[number] for number in order})


@screen.get("/<number>")
def one(number: str) -> ResponseReturnValue:
    """Show what holds an item, what to do, and what was cleared before."""
    return _page(current_shop(), number)


@screen.post("/<number>")
def hold_it(number: str) -> ResponseReturnValue:
    """Raise a hold by hand."""
    shop = current_shop()
    form = request.form
    note = " ".join(form.get("note", "").split())
    try:
        if not form.get("hold"):
            raise HoldError("no reason is chosen", where="Hold this", remedy="choose one")
        raised = HandRaised(form["hold"][:40], note)
        fresh = raise_hold(shop, me(), number, raised, _key(), shop.here())
    except NotSavedError:
        raise
    except ResaleError as fault:
        typed = {"hold": form.get("hold", ""), "note": form.get("note", "")}
        return make_response(_page(shop, number, fault=fault.sentence, typed=typed), 422)
    return redirect(url_for("holds.one", number=number, done="held" if fresh else "already"), 303)


@screen.post("/<number>/<hold>/clear")
def clear(number: str, hold: str) -> ResponseReturnValue:
    """Clear a hold with a reason, after every point was confirmed."""
    shop = current_shop()
    form = request.form
    clearing = Clearing(
        " ".join(form.get("reason", "").split()),
        tuple(form.getlist("confirmed")),
        mistake=form.get("mistake") == "1",
        early=form.get("early") == "1",
    )
    try:
        clear_hold(shop, me(), number, hold, clearing, _key(), shop.here())
    except HoldError as fault:
        typed = {"hold_cleared": hold, "clearing": clearing}
        return make_response(_page(shop, number, fault=fault.sentence, typed=typed), 422)
    return redirect(url_for("holds.one", number=number, done="cleared"), 303)


@screen.post("/<number>/<hold>/treated")
def treated(number: str, hold: str) -> ResponseReturnValue:
    """Enter the day on which a treatment began; the quarantine runs from there."""
    shop = current_shop()
    form = request.form
    how = " ".join(form.get("how", "").split())
    try:
        day = _day(form.get("day", ""), number)
        begin_treatment(shop, me(), number, hold, day, how, _key(), shop.here())
    except HoldError as fault:
        typed = {"treating": hold, "how": how, "day": form.get("day", "")}
        return make_response(_page(shop, number, fault=fault.sentence, typed=typed), 422)
    return redirect(url_for("holds.one", number=number, done="treated"), 303)


def _day(text: str, number: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise HoldError(
            f"{text[:20]!r} is no day", where=number, remedy="write it as 2026-11-28"
        ) from None


@screen.post("/<number>/away")
def away(number: str) -> ResponseReturnValue:
    """Pass a held item on: a lead says that the warnings were read, and why."""
    shop = current_shop()
    form = request.form
    reason = " ".join(form.get("reason", "").split())
    try:
        if form.get("warned") != "1" or not reason:
            raise HoldError(
                "it is held, and neither the warning nor a reason is confirmed",
                where=number,
                remedy="read what must never be done, tick that you did, and write the reason",
            )
        pass_on_held(shop, me(), number, reason, _key(), shop.here())
    except NotSavedError:
        raise
    except ResaleError as fault:
        typed = {"away": reason}
        return make_response(_page(shop, number, fault=fault.sentence, typed=typed), 422)
    return redirect(url_for("holds.one", number=number, done="gone"), 303)


@screen.get("/<number>/slip")
def slip(number: str) -> ResponseReturnValue:
    """Lay out the slip for the bag of a held item."""
    shop = current_shop()
    life = item_life(shop.records, number)
    held = _held(shop, life, shop.here())
    if not held:
        raise HoldError(
            "it is not held, so it needs no slip", where=life.number, remedy="print its ticket"
        )
    return render_template("safety/slip.html", life=life, kind_name=_kind(shop, life), held=held)


def _page(shop: Shop, number: str, **more: Any) -> str:
    life = item_life(shop.records, number)
    held = _held(shop, life, shop.here())
    open_ids = {one.rule.id for one in held}
    return render_template(
        "safety/one.html",
        life=life,
        kind_name=_kind(shop, life),
        held=held,
        lines=lines_of(hold_history(shop.records, life.number)),
        hand_holds=[one for one in hand_holds() if one.id not in open_ids],
        is_over=life.state.where in OVER,
        stands=STANDS,
        valued=any(event.what == "valued" for event in life.written),
        who=WHO,
        status_words=STATUS_WORDS,
        key=new_key,
        done=request.args.get("done", ""),
        **{"fault": "", "typed": {}, **more},
    )


def _held(shop: Shop, life: ItemLife, at: datetime) -> tuple[HeldView, ...]:
    return views_of(open_holds(shop.records, [life.number]).get(life.number, ()), at)


def _kind(shop: Shop, life: ItemLife) -> str:
    return shop.kind_name(life.kind)


def _key() -> str:
    """Key that the page made once, so that a form sent twice counts once."""
    return request.form.get("key", "")[:LONGEST_KEY] or new_key()
