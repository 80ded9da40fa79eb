"""The Rail: pricing the rack, putting out, marking down."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ResaleError
from resale.services.items.entry import new_key
from resale.services.on_hand.lines import RailLine, mending_of, rail_of
from resale.services.on_hand.parts import parts_numbered
from resale.services.on_hand.stock import STANDINGS
from resale.services.rail.mark_down import mark_down
from resale.services.rail.pass_on import pass_on
from resale.services.rail.price_by_hand import take_price_back, write_ticket
from resale.services.rail.priced_before import changes_of
from resale.services.rail.put_out import put_out as put_on_rail
from resale.services.rail.rail_events import RailFormError
from resale.services.rail.reprice import Change
from resale.services.rail.reprice import reprice as price_again
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.holds import waiting
from resale.web.access.current_user import me
from resale.web.core.shop import Shop, shop_now
from resale.web.rail.amount import amount_typed
from resale.web.rail.choice import Wishes, choose
from resale.web.rail.item_plan import plan_of
from resale.web.rail.ready_index import Ready, ready_index
from resale.web.rail.rows_shown import MOST_DUE, TableQuery, table_of

screen = Blueprint("rail", __name__, url_prefix="/rail")
LONGEST_KEY = 64


@screen.get("")
def table() -> ResponseReturnValue:
    """Show what waits and what hangs."""
    shop, at = shop_now()
    return _page(shop, at.date(), TableQuery.of(request.args))


@screen.post("/ticket/<number>")
def ticket(number: str) -> ResponseReturnValue:
    """Write another price on one ticket."""
    shop, at = shop_now()
    query, typed = TableQuery.of(request.form), request.form.get("price", "")
    line = lines_numbered(shop, at.date(), [number])[0]
    try:
        price = amount_typed(shop, typed, number)
        write_ticket(shop, me(), line, price, asked_key(), at, _reason())
    except ResaleError as fault:
        faults = {line.number: (fault.sentence, typed, _reason())}
        page = _page(shop, at.date(), query, faults=faults)
        return make_response(page, 422) if isinstance(page, str) else page
    return redirect(url_for("rail.table", **query.parts(), _anchor=line.number), 303)


@screen.post("/<number>/price")
def price_by_hand(number: str) -> ResponseReturnValue:
    """Set a price by hand, with a reason; or take it back."""
    shop, at = shop_now()
    line = lines_numbered(shop, at.date(), [number])[0]
    try:
        if request.form.get("back") == "1":
            take_price_back(shop, me(), line, asked_key(), at)
        else:
            price = amount_typed(shop, request.form.get("price", ""), number)
            write_ticket(shop, me(), line, price, asked_key(), at, _reason())
    except ResaleError as fault:
        return make_response(_plan_page(number, fault.sentence, request.form), 422)
    return redirect(url_for("rail.one", number=line.number), 303)


@screen.post("/out")
def put_out() -> ResponseReturnValue:
    """Put out what was picked."""
    shop, at = shop_now()
    picked = lines_numbered(shop, at.date(), request.form.getlist("pick"))
    count = put_on_rail(shop, me(), picked, asked_key(), at)
    return redirect(url_for("rail.table", state="on_rail", done="out", count=count), 303)


@screen.post("/marks")
def marks() -> ResponseReturnValue:
    """Mark down all that was shown as due."""
    shop, at = shop_now()
    picked = lines_numbered(shop, at.date(), request.form.getlist("pick"))
    count = mark_down(shop, me(), picked, asked_key(), at)
    return redirect(url_for("rail.table", state="on_rail", done="marked", count=count), 303)


@screen.post("/away")
def away() -> ResponseReturnValue:
    """Pass on what was picked."""
    shop, at = shop_now()
    picked = lines_numbered(shop, at.date(), request.form.getlist("pick"), gone_is_fine=1)
    count = pass_on(shop, me(), picked, asked_key(), at)
    return redirect(url_for("rail.table", done="gone", count=count), 303)


@screen.get("/choice")
def choice() -> ResponseReturnValue:
    """Propose what goes out now; where no choice can be made, say why."""
    shop, at = shop_now()
    rail = rail_of(shop, at.date())
    parts: dict[str, Any] = {"choice": None, "fault": "", "query": request.args, "key": new_key()}
    try:
        parts["choice"] = choose(shop, rail, Wishes.of(request.args, shop))
    except ResaleError as fault:
        parts["fault"] = fault.sentence
    page = render_template("rail/choice.html", plain=Wishes.of({}, shop), **parts)
    return make_response(page, 422 if parts["fault"] else 200)


@screen.get("/reprice")
def repriced() -> ResponseReturnValue:
    """Show what the prices in use now would change."""
    shop, at = shop_now()
    found = ready_index(shop, at.date())
    if not isinstance(found, Ready):
        return found
    wanted = sorted(found.index.repriced)
    first = [found.index.lines[item].number for item in wanted[:MOST_DUE]]
    changes = _changes(shop, at.date(), first)
    parts = {"changes": changes, "count": len(wanted), "key": new_key()}
    return render_template("rail/reprice.html", **parts)


@screen.post("/reprice")
def reprice() -> ResponseReturnValue:
    """Accept new prices for what was picked."""
    shop, at = shop_now()
    picked = lines_numbered(shop, at.date(), request.form.getlist("pick"))
    changes = _changes(shop, at.date(), [line.number for line in picked])
    count = price_again(shop, me(), changes, asked_key(), at)
    return redirect(url_for("rail.table", state="all", done="repriced", count=count), 303)


@screen.get("/<number>")
def one(number: str) -> ResponseReturnValue:
    """Show the plan of one item: tickets by period beside the habit, and what to mend."""
    return _plan_page(number)


def _plan_page(number: str, fault: str = "", typed: Mapping[str, str] | None = None) -> str:
    shop, at = shop_now()
    line = lines_numbered(shop, at.date(), [number])[0]
    rail = next(parts_numbered(shop, at.date(), [line.number]))
    return render_template(
        "rail/one.html",
        line=line,
        mending=mending_of(shop, rail.stock, line.row) if line.planned else None,
        plan=plan_of(shop, rail, line) if line.planned else None,
        key=new_key(),
        fault=fault,
        typed=typed or {},
    )


def _reason() -> str:
    return " ".join(request.form.get("reason", "").split())


def asked_key() -> str:
    """Key that the page made once, so that a form sent twice counts once."""
    return request.form.get("key", "")[:LONGEST_KEY] or new_key()


def lines_numbered(
    shop: Shop, today: date, numbers: list[str], *, gone_is_fine: int = 0
) -> list[RailLine]:
    """Find lines by item number, each once.

    Parameters
    ----------
    shop : Shop
    today : date
    numbers : list of str
        As they were picked; case and blanks do not matter.
    gone_is_fine : int, optional
        Other than 0, a number that is no longer on hand is passed over.

    Raises
    ------
    NotSavedError
        If a number is not on hand.
    RailFormError
        If none was picked.
    """
    wanted = list(dict.fromkeys(number.strip().upper() for number in numbers))
    parts = parts_numbered(shop, today, wanted)
    known = {line.number: line for rail in parts for line in rail.lines}
    missing = next((number for number in wanted if number not in known), None)
    if missing is not None and not gone_is_fine:
        raise NotSavedError(
            f"no item {missing[:20]!r} is on hand", remedy="look for it in the list of items"
        )
    if not wanted:
        raise RailFormError("nothing was picked", where="Rail", remedy="tick at least one item")
    return [known[number] for number in wanted if number in known]


def _changes(shop: Shop, today: date, numbers: list[str]) -> list[Change]:
    parts = parts_numbered(shop, today, numbers)
    return [one for rail in parts for one in changes_of(shop, rail)]


def _page(shop: Shop, today: date, query: TableQuery, **more: Any) -> ResponseReturnValue:
    found = ready_index(shop, today)
    if not isinstance(found, Ready):
        return found
    index = found.index
    due = {what: index.due(what) for what in ("mark", "pass_on")}
    more_due = sum(max(0, len(lines) - MOST_DUE) for lines in due.values())
    return render_template(
        "rail/table.html",
        before=len(index.repriced),
        page=table_of(shop, index, query, behind=found.behind),
        query=query,
        key=new_key(),
        standings=STANDINGS,
        marks=due["mark"][:MOST_DUE],
        away=due["pass_on"][:MOST_DUE],
        more_due=more_due,
        waits=len(waiting(shop.records)),
        done=request.args.get("done", ""),
        count=request.args.get("count", 0, type=int),
        **more,
    )
