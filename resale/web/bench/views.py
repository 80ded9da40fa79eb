"""The Bench: one item, its signs, its price."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.garments.care.reader import offered_words
from resale.garments.measures.stitch_gauge import GAUGES
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.unsorted import UNSORTED
from resale.garments.sizes.taped import tape_of
from resale.safety.holds import hand_holds
from resale.services.items.beside_signs import asked_of_care, said_of_care, said_of_size
from resale.services.items.by_hand import ByHand
from resale.services.items.entry import Entry, entry_from_inputs, finished, new_key
from resale.services.items.like import entry_like, save_pile
from resale.services.items.save_item import save_item
from resale.services.items.usual import usual_answers
from resale.services.standing.fresh import look_at
from resale.services.standing.saved import saved_standings
from resale.storage.items.item_pages import ItemLine, items_page
from resale.storage.items.readers import has_read_any
from resale.storage.items.store import item_numbered, kind_counts
from resale.storage.ledger.holds import open_holds, waiting
from resale.storage.photos.label_words import what_is_missing
from resale.web.access.current_user import me, my_name
from resale.web.bench.card_rows import card_rows
from resale.web.bench.kinds import kinds_shown
from resale.web.bench.next_question import asked_now
from resale.web.bench.pile import Pile, pile_in
from resale.web.bench.way import remember_way, way_here
from resale.web.bench.without_kind import bench_entry, unfit
from resale.web.core.shop import Shop, current_shop
from resale.web.item_form.alterations import still_changeable
from resale.web.item_form.looks import looks_view, with_nothing_found
from resale.web.item_form.zones import said_views, zones_of

screen = Blueprint("bench", __name__)


@screen.get("/")
def kinds() -> ResponseReturnValue:
    """Pick the kind of the item in hand."""
    shop = current_shop()
    typed = request.args.get("find", "").strip()
    shown = kinds_shown(shop.book.kinds.values(), kind_counts(shop.records), typed)
    lately: tuple[ItemLine, ...] = items_page(shop.records, per_page=5).lines
    return render_template(
        "bench/kinds.html",
        shown=shown,
        lately=lately,
        standings=saved_standings(shop, [one.number for one in lately], shop.here().date()),
        waits=len(waiting(shop.records)),
    )


@screen.get("/bench/<kind>")
def open_bench(kind: str) -> ResponseReturnValue:
    """Lay out the bench, empty or with a saved item on it again."""
    shop = current_shop()
    chosen = shop.kind(kind)
    again, saved = request.args.get("item", ""), request.args.get("saved", "")
    if again:
        item = item_numbered(shop.records, again)
        # Asked for instead of its own kind, the bench keeps what both kinds know.
        meant = chosen if request.args.get("instead") else shop.kind(item.kind)
        entry = entry_from_inputs(meant, item.newest.inputs, item.number)
        wrong = item.kind if meant.id != item.kind else ""
        return laid_out(shop, meant, entry, wrong_kind=wrong)
    like = request.args.get("like", "")
    if like:
        item = item_numbered(shop.records, like)
        entry = entry_like(shop.kind(item.kind), item.newest.inputs, item.number)
        return laid_out(shop, shop.kind(item.kind), entry)
    said = ByHand(request.args.get("what", "")[:60]) if chosen.id == UNSORTED else None
    entry = finished(chosen, Entry(chosen.id, key=new_key(), by_hand=said))
    just_saved = item_numbered(shop.records, saved) if saved else None
    in_pile = request.args.get("pile", 1, type=int)
    just_held = open_holds(shop.records, [saved]).get(saved, ()) if just_saved else ()
    return laid_out(
        shop, chosen, entry, just_saved=just_saved, just_held=just_held, in_pile=in_pile
    )


@screen.post("/bench/<kind>/look")
def look(kind: str) -> ResponseReturnValue:
    """Value what was looked at so far; a piece of the page where the page asks for one."""
    shop = current_shop()
    chosen = shop.kind(kind)
    entry = bench_entry(chosen, request.form, shop.money)
    if request.headers.get("HX-Request") != "true":
        wrong = request.form.get("changes_kind", "")
        return remember_way(make_response(laid_out(shop, chosen, entry, wrong_kind=wrong)))
    return render_template("bench/answer.html", **_result(shop, chosen, entry))


@screen.post("/bench/<kind>/save")
def save(kind: str) -> ResponseReturnValue:
    """Save the item; go on to the next of its kind, or open what was saved."""
    shop = current_shop()
    chosen = shop.kind(kind)
    entry = bench_entry(chosen, request.form, shop.money)
    pile = pile_in(request.form)
    faults = {**entry.faults, **still_changeable(entry, shop.settings.length_unit)[1]}
    faults |= pile.faults | unfit(entry)
    if faults:
        changes = request.form.get("changes_kind", "")
        said = {"wrong_kind": changes, "pile": pile}
        return make_response(laid_out(shop, chosen, replace(entry, faults=faults), **said), 422)
    number = _saved(shop, entry, pile)
    if request.form.get("then") == "open":
        return redirect(url_for("items.one", number=number, saved=1), 303)
    more: dict[str, Any] = {"pile": pile.count} if pile.count > 1 else {}
    return redirect(url_for("bench.open_bench", kind=kind, saved=number, **more), 303)


@screen.post("/bench/<kind>/none/<zone>")
def found_none(kind: str, zone: str) -> ResponseReturnValue:
    """Answer 'none' to the zone's findings that stand in front; the way without JavaScript."""
    shop = current_shop()
    chosen = shop.kind(kind)
    entry = bench_entry(chosen, request.form, shop.money)
    zones = zones_of(chosen, shop.zone_names, shop.in_front[kind], entry)
    none = {
        view.signal.id: "none"
        for one in zones
        if one.id == zone
        for view in one.front
        if view.signal.shape == "finding"
    }
    return laid_out(shop, chosen, finished(chosen, replace(entry, picked={**none, **entry.picked})))


@screen.post("/bench/<kind>/nothing-found")
def nothing_found(kind: str) -> ResponseReturnValue:
    """Answer everything that was looked at in one go; the way without JavaScript."""
    shop = current_shop()
    chosen = shop.kind(kind)
    return laid_out(
        shop, chosen, with_nothing_found(chosen, bench_entry(chosen, request.form, shop.money))
    )


@screen.post("/bench/<kind>/usual")
def accept_usual(kind: str) -> ResponseReturnValue:
    """Accept what is usual for every sign of make still open; the way without JavaScript."""
    shop = current_shop()
    chosen = shop.kind(kind)
    entry = bench_entry(chosen, request.form, shop.money)
    usual = {one.signal.id: one.option.id for one in usual_answers(chosen, entry.choices)}
    return laid_out(shop, chosen, finished(chosen, replace(entry, usual=usual)))


def laid_out(shop: Shop, kind: Kind, entry: Entry, **more: Any) -> str:
    """Write the page of the bench with an item on it.

    Parameters
    ----------
    shop : Shop
    kind : Kind
        Of the item.
    entry : Entry
        What was answered so far.
    **more : Any
        Further values of the template.
    """
    parts = _result(shop, kind, entry)
    asked = parts["asked"].sign_id
    zones = zones_of(
        kind,
        shop.zone_names,
        shop.in_front[kind.id],
        parts["entry"],
        asked if asked in kind.by_id else None,
    )
    more = {**way_here(), "pile": pile_in(request.form), "is_first": _is_first(shop), **more}
    return render_template(
        "bench/bench.html",
        zones=zones,
        gauges=GAUGES,
        hand_holds=hand_holds(),
        care_words=offered_words(),
        label_lacks=what_is_missing(),
        **parts,
        **more,
    )


def _is_first(shop: Shop) -> bool:
    """Whether whoever reads this page has saved no item yet; asked until they have."""
    name = my_name()
    seen: set[str] = shop.memory.setdefault("have read", set())
    if name and name not in seen and has_read_any(shop.records, name):
        seen.add(name)
    return bool(name) and name not in seen


def _saved(shop: Shop, entry: Entry, pile: Pile) -> str:
    """Save the item, and its like where there is a pile; gives the first number."""
    if pile.count == 1:
        corrects = bool(request.form.get("changes_kind"))
        return save_item(shop, me(), entry, shop.here(), changes_kind=corrects).number
    each = pile.each_looked_over
    return save_pile(shop, me(), entry, pile.count, shop.here(), each_looked_over=each)[0]


def _result(shop: Shop, kind: Kind, entry: Entry) -> dict[str, Any]:
    looked = look_at(shop, entry, shop.here().date())
    changeable, faults = still_changeable(entry, shop.settings.length_unit)
    entry = replace(entry, faults={**entry.faults, **faults})
    looks = looks_view(kind, entry)
    return {
        "standing": looked.standing,
        "kind": kind,
        "entry": entry,
        "valued": looked.valued,
        "changeable": changeable,
        "measured": said_views(kind, entry),
        "looks": looks,
        "size_said": said_of_size(entry.inputs()),
        "care_said": said_of_care(entry.inputs()),
        "care_asked": asked_of_care(entry.inputs()),
        "tape": tape_of(kind.id),
        "asked": asked_now(entry, looked.checks, shop.striking[kind.id], looks.answers),
        "striking": card_rows(shop.striking[kind.id]),
        "usual": usual_answers(kind, entry.choices),
    }
