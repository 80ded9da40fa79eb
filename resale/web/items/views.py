"""The list of saved items, and one of them as it was saved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.unsorted import unsorted_kind
from resale.safety.holds import hand_holds
from resale.safety.looks import shipped_looks
from resale.services.items.beside_signs import said_of_care, said_of_size
from resale.services.items.entry import new_key
from resale.services.items.usual import Usual
from resale.services.standing.saved import saved_standings
from resale.storage.items.item_pages import items_page
from resale.storage.items.store import item_numbered
from resale.storage.ledger.holds import hold_history, open_holds, waiting
from resale.storage.photos.photos import photos_of
from resale.web.core.shop import current_shop
from resale.web.items.asked import FILTERS, asked_filter

screen = Blueprint("items", __name__, url_prefix="/items")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List saved items, the newest first, as they are asked for."""
    search = request.args.get("q", "").strip()[:100]
    shop, asked = current_shop(), asked_filter(request.args)
    page = items_page(shop.records, search, request.args.get("page", 1, type=int), wanted=asked)
    numbers = [line.number for line in page.lines]
    standings = saved_standings(shop, numbers, shop.here().date())
    parts = {name: request.args[name] for name in FILTERS if request.args.get(name)}
    return render_template(
        "items/items.html",
        page=page,
        search=search,
        standings=standings,
        waits=len(waiting(shop.records)),
        asked=asked,
        parts={"q": search, **parts} if search else parts,
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
    by_hand = item.newest.valued.by_hand
    kind = unsorted_kind() if by_hand else shop.book.kinds.get(item.kind)
    return render_template(
        "items/item.html",
        item=item,
        standing=saved_standings(shop, [item.number], shop.here().date()).get(item.number),
        held=open_holds(shop.records, [item.number]).get(item.number, ()),
        was_held=hold_history(shop.records, item.number),
        hand_holds=hand_holds(),
        key=new_key(),
        usual=_answers(kind, item.newest.inputs.get("usual", {})),
        untold=_names(kind, item.newest.inputs.get("untold", ())),
        care_said=said_of_care(item.newest.inputs),
        size_said=said_of_size(item.newest.inputs),
        by_hand_read=_answers(kind, item.newest.inputs["choices"]) if by_hand else [],
        just_saved=bool(request.args.get("saved")),
        photos=photos_of(shop.records, item.number),
        photo_kind=shop.changed.kinds.get(item.kind),
        zone_names=shop.zone_names,
        **more,
    )


def _answers(kind: Kind | None, answers: Mapping[str, str]) -> list[Usual]:
    """Signs with their answers, as far as the rule book still knows them."""
    known = kind.by_id if kind else {}
    return [
        Usual(known[name], known[name].option(option))
        for name, option in answers.items()
        if name in known and option in known[name].option_ids
    ]


def _names(kind: Kind | None, ids: Iterable[str]) -> list[str]:
    known = kind.by_id if kind else {}
    looks = shipped_looks().by_id
    return [(known.get(one) or looks[one]).name for one in ids if one in known or one in looks]
