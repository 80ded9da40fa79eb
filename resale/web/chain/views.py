"""The desk of a chain: each shop's figures side by side, and things moved from one to another."""

from __future__ import annotations

from datetime import date, datetime
from typing import cast

from flask import Blueprint, Flask, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from resale.errors import ResaleError
from resale.services.chain.desk import ChainDesk, Member, shop_named
from resale.services.chain.move_item import Moved, move_item
from resale.services.chain.parcel import on_the_way
from resale.services.chain.side_by_side import (
    DAYS,
    WITHIN,
    common_labels,
    figures_of,
    forget_figures,
    known_figures,
)
from resale.services.shop import Shop
from resale.web.access.current_user import me
from resale.web.core.item_number import number_in
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import shop_now

screen = Blueprint("chain", __name__, url_prefix="/chain")
_DESK = "resale.chain"
SPANS = (30, 90, 365)
MOST_NUMBERS = 100


def init_app(app: Flask) -> None:
    """Give an application the desk of its chain."""
    app.extensions[_DESK] = ChainDesk()
    app.register_blueprint(screen)


@screen.get("")
def page() -> ResponseReturnValue:
    """Show the shops side by side."""
    members, at = _members()
    days = request.args.get("days", DAYS, type=int)
    days = days if days in SPANS else DAYS
    today, shops = at.date(), [one.shop for one in members if one.shop is not None]
    if request.args.get("anew"):
        for one in shops:
            forget_figures(one)
    missing = [one for one in shops if known_figures(one, today, days) is None]
    if missing:
        return _gather(missing, today, days)
    return _page(members, at, days)


@screen.post("/move")
def move() -> ResponseReturnValue:
    """Move things from one shop to another; each by itself, so that one fault stops no other."""
    members, at = _members()
    form = request.form
    typed = form.get("numbers", "").replace(",", " ").split()
    numbers = list(dict.fromkeys(number_in(one) for one in typed))[:MOST_NUMBERS]
    moved: list[Moved] = []
    faults: list[str] = []
    try:
        source = shop_named(members, form.get("source", ""))
        target = shop_named(members, form.get("target", ""))
        if not numbers:
            faults.append("No number is given; type those on the tickets.")
        for number in numbers:
            try:
                moved.append(move_item(source, target, me(), number, at))
            except ResaleError as fault:
                faults.append(fault.sentence)
        for one in (source, target):
            forget_figures(one)
    except ResaleError as fault:
        faults.append(fault.sentence)
    shown = render_template(
        "chain/moved.html",
        moved=moved,
        faults=faults,
        left=[one for one in numbers if one not in {done.number for done in moved}],
        source=form.get("source", "")[:60],
        target=form.get("target", "")[:60],
        members=members,
    )
    return shown, 422 if faults else 200


def _members() -> tuple[tuple[Member, ...], datetime]:
    """The shops of the chain; a shop that is alone has no such page."""
    shop, at = shop_now()
    if not shop.settings.other_shops:
        raise NotFound
    desk = cast("ChainDesk", current_app.extensions[_DESK])
    return desk.members(shop), at


def _gather(missing: list[Shop], today: date, days: int) -> ResponseReturnValue:
    here = url_for("chain.page", days=days)
    job = Job(f"chain {days}", "Looking at each shop", here, url_for("sign_in.you"))

    def work(step: Step) -> None:
        for place, one in enumerate(missing):
            step(place, len(missing), f"Looking at {one.settings.name}")
            figures_of(one, today, days)

    return begin(job, work)


def _page(members: tuple[Member, ...], at: datetime, days: int) -> str:
    shops = [one.shop for one in members if one.shop is not None]
    today = at.date()
    rows = [
        (one, known_figures(one.shop, today, days) if one.shop is not None else None)
        for one in members
    ]
    there = [(one.name, figures) for one, figures in rows if figures is not None]
    return render_template(
        "chain/side_by_side.html",
        rows=rows,
        names=[name for name, _ in there],
        labels=common_labels(there),
        waiting=on_the_way(shops, today),
        days=days,
        spans=SPANS,
        within=WITHIN,
    )
