"""The list of saved items, and one of them as it was saved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from resale.garments.rulebook.rule_book import Kind
from resale.safety.holds import hand_holds
from resale.safety.looks import shipped_looks
from resale.services.items.entry import new_key
from resale.services.items.usual import Usual
from resale.services.standing.saved import saved_standings
from resale.storage.items.store import item_numbered, items_page
from resale.storage.ledger.holds import hold_history, open_holds, waiting
from resale.storage.photos.photos import photos_of
from resale.web.core.shop import current_shop

screen = Blueprint("items", __name__, url_prefix="/items")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List saved items, the newest first."""
    search = request.args.get("q", "").strip()[:100]
    shop = current_shop()
    records = shop.records
    page = items_page(records, search, request.args.get("page", 1, type=int))
    numbers = [line.number for line in page.lines]
    standings = saved_standings(shop, numbers, shop.here().date())
    waits = len(waiting(records))
    return render_template(
        "items/items.html", page=page, search=search, standings=standings, waits=waits
    )


@screen.get("/<number>")
def one(number: str) -> ResponseReturnValue:
    """Open an item as it was saved."""
    return item_page(number, photos_saved=request.args.get("photos", 0, type=int))


def item_page(number: str, **more: Any) -> str:
    """Write the page of a saved item.

    Parameters
    ----------
    **more
        What came of photos that were sent: `photos_saved`, `photo_faults`, `photo_signal`.
    """
    shop = current_shop()
    item = item_numbered(shop.records, number)
    return render_template(
        "items/item.html",
        item=item,
        standing=saved_standings(shop, [item.number], shop.here().date()).get(item.number),
        held=open_holds(shop.records, [item.number]).get(item.number, ()),
        was_held=hold_history(shop.records, item.number),
        hand_holds=hand_holds(),
        key=new_key(),
        usual=_usual(shop.book.kinds.get(item.kind), item.newest.inputs),
        untold=_names(shop.book.kinds.get(item.kind), item.newest.inputs.get("untold", ())),
        just_saved=bool(request.args.get("saved")),
        photos=photos_of(shop.records, item.number),
        photo_kind=shop.changed.kinds.get(item.kind),
        zone_names=shop.changed.zone_names,
        **more,
    )


def _usual(kind: Kind | None, inputs: Mapping[str, Any]) -> list[Usual]:
    """What was accepted as usual, as far as the rule book still knows it."""
    known = kind.by_id if kind else {}
    return [
        Usual(known[name], known[name].option(option))
        for name, option in inputs.get("usual", {}).items()
        if name in known and option in known[name].option_ids
    ]


def _names(kind: Kind | None, ids: Iterable[str]) -> list[str]:
    known = kind.by_id if kind else {}
    looks = shipped_looks().by_id
    return [(known.get(one) or looks[one]).name for one in ids if one in known or one in looks]
