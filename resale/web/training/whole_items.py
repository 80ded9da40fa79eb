"""A whole item read for practice, set against the lead's reading, contribution by contribution."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from random import SystemRandom
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request
from flask import url_for as address_of
from flask.typing import ResponseReturnValue

from resale.garments.measures.stitch_gauge import GAUGES
from resale.garments.rulebook.rule_book import Kind
from resale.services.items.entry import Entry, new_key
from resale.services.training.read_twice import known, leads_of
from resale.storage.items.item_pages import items_page
from resale.storage.items.readers import has_read, readers
from resale.storage.items.store import NotSavedError, SavedItem, item_numbered
from resale.storage.people.people import people
from resale.storage.people.whole_items import (
    NewWholeItem,
    save_whole_item,
    whole_item,
    whole_items_read,
)
from resale.training.agreement.comparison import Comparison, Difference, Told
from resale.training.practice.whole_item import compare
from resale.web.access.current_user import here
from resale.web.core.shop import Shop, current_shop
from resale.web.item_form.form import entry_from_form
from resale.web.item_form.zones import zones_of

screen = Blueprint("whole_items", __name__, url_prefix="/drill/whole")

MOST_CONSIDERED = 500
FEWEST_SIGNS = 8
"""An item of which less was looked at teaches little."""

_PRICE = re.compile(r"\d{1,6}([.,]\d{1,2})?")


@dataclass(frozen=True, slots=True)
class Bar:
    """A difference as a bar from the middle of a line; places in percent."""

    difference: Difference
    start: float
    end: float


@screen.get("")
def pick() -> ResponseReturnValue:
    """Pick a saved item that this person has not read yet, where there is one."""
    shop = current_shop()
    lines = items_page(shop.records, per_page=MOST_CONSIDERED).lines
    known = [one.number for one in lines if one.valued.looked >= FEWEST_SIGNS]
    if not known:
        return render_template("training/no_item.html", fewest=FEWEST_SIGNS)
    best = _worth_reading(shop, known)
    return redirect(address_of("whole_items.open_item", number=SystemRandom().choice(best)))


def _worth_reading(shop: Shop, known: list[str]) -> list[str]:
    """Leave out what this person read, then what no lead read, as long as anything is left."""
    me, by = here(), readers(shop.records, known)
    done = set(whole_items_read(shop.records, me.id))
    sorters = {one.name for one in people(shop.records) if not one.may("lead")}
    rules: tuple[Callable[[str], bool], ...] = (
        lambda number: not has_read(by, number, me.name),
        lambda number: number not in done,
        lambda number: number not in by or by[number][-1].name not in sorters,
    )
    left = known
    for rule in rules:
        left = [number for number in left if rule(number)] or left
    return left


@screen.get("/<number>")
def open_item(number: str) -> ResponseReturnValue:
    """Lay out an item to be read as if it had just come in."""
    shop = current_shop()
    item = item_numbered(shop.records, number)
    kind = shop.valued_kind(item.kind)
    return _page(shop, item, Entry(kind.id, key=new_key()), {}, "", "")


@screen.post("/<number>")
def read(number: str) -> ResponseReturnValue:
    """Keep a reading and show what it comes to."""
    shop = current_shop()
    person, item = here(), item_numbered(shop.records, number)
    kind = shop.valued_kind(item.kind)
    entry = entry_from_form(kind, request.form)
    price, tier = " ".join(request.form.get("price", "").split()), request.form.get("tier", "")
    faults = dict(entry.faults)
    if not _PRICE.fullmatch(price):
        faults["price"] = "Price: write the ticket price that you would give, such as 12.50."
    if tier not in {one.id for one in shop.book.book.tiers}:
        faults["tier"] = "Tier: choose the tier that you would put it in."
    if faults:
        return make_response(_page(shop, item, entry, faults, tier, price), 422)
    minor = round(Decimal(price.replace(",", ".")) * 10**shop.money.decimals)
    lead = item.newest
    new = NewWholeItem(
        entry.key,
        item.number,
        person.id,
        {"choices": entry.choices, "tier": tier, "price": minor},
        {
            "choices": lead.inputs["choices"],
            "price": lead.valued.ticket,
            "label": item.label,
            "by": last_reader(shop, item.number),
        },
    )
    save_whole_item(shop.records, new, shop.now())
    return redirect(address_of("whole_items.result", key=entry.key), 303)


@screen.get("/read/<key>")
def result(key: str) -> ResponseReturnValue:
    """Set a reading against the lead's, contribution by contribution."""
    shop = current_shop()
    stored = whole_item(shop.records, key)
    if stored.person_id != here().id and not here().may("lead"):
        raise NotSavedError("this reading is somebody else's", remedy="open one of your own")
    item = item_numbered(shop.records, stored.number)
    kind = shop.valued_kind(item.kind)
    tier = next((one for one in shop.book.book.tiers if one.id == stored.reading["tier"]), None)
    found = compare(
        shop.valuer,
        kind.id,
        Told(known(kind, stored.reading["choices"]), tier, stored.reading["price"]),
        Told(
            known(kind, stored.lead["choices"]),
            None,
            stored.lead["price"],
            stored.lead.get("by") or "the first reader",
        ),
        label=shop.label(stored.lead["label"]),
    )
    return render_template(
        "training/compared.html",
        item=item,
        found=found,
        by=stored.lead.get("by", ""),
        by_lead=stored.lead.get("by", "") in leads_of(shop),
        bars=bars_of(found),
        tier_sentence=in_shop_words(shop, found.tier_sentence()),
    )


def last_reader(shop: Shop, number: str) -> str:
    """Name of whoever read an item last on the bench; empty where nobody was signed in.

    Parameters
    ----------
    shop : Shop
    number : str
        Of an item.
    """
    many = readers(shop.records, [number]).get(number, ())
    return many[-1].name if many else ""


def bars_of(found: Comparison) -> list[Bar]:
    """Draw each difference from the middle: to the right where the trainee's price is too high."""
    most = max((abs(one.money) for one in found.differences), default=0) or 1
    return [
        Bar(one, *sorted((50.0, round(50 + 46 * one.money / most, 2)))) for one in found.differences
    ]


def in_shop_words(shop: Shop, sentence: str) -> str:
    """Put the shop's own names of tiers for those of the rule book.

    Parameters
    ----------
    shop : Shop
        For its names of tiers.
    sentence : str
        In the rule book's words.
    """
    for tier in shop.book.book.tiers:
        sentence = sentence.replace(tier.name, shop.settings.tier_names.get(tier.id, tier.name))
    return sentence


def reading_parts(shop: Shop, kind: Kind, entry: Entry) -> dict[str, Any]:
    """Give what the form of signs needs.

    Parameters
    ----------
    shop : Shop
    kind : Kind
        Whose signs are asked.
    entry : Entry
        What was answered so far.

    Returns
    -------
    dict of str to Any
        Values of the template, by name.
    """
    zones = zones_of(kind, shop.book.zone_names, shop.in_front[kind.id], entry)
    return {"kind": kind, "entry": entry, "zones": zones, "gauges": GAUGES}


def _page(
    shop: Shop, item: SavedItem, entry: Entry, faults: dict[str, str], tier: str, price: str
) -> str:
    kind = shop.valued_kind(item.kind)
    return render_template(
        "training/whole.html",
        item=item,
        described=described(shop, kind, item),
        tiers=shop.book.book.tiers,
        tier=tier,
        price=price,
        faults=faults,
        **reading_parts(shop, kind, entry),
    )


def described(shop: Shop, kind: Kind, item: SavedItem) -> list[tuple[str, list[str]]]:
    """Describe an item by zone for whoever cannot hold it: what a hand finds, as it was found.

    Parameters
    ----------
    shop : Shop
        For the names of zones.
    kind : Kind
        As the rule book of today has it.
    item : SavedItem
        With its newest reading.

    Returns
    -------
    list[tuple[str, list of str]]
        Name of each zone with its lines, in the order of the hand.
    """
    inputs = item.newest.inputs
    choices, typed = known(kind, inputs["choices"]), inputs.get("typed", {})
    found = []
    for zone, signals in kind.by_zone():
        lines = [
            f"{one.name}: {typed.get(one.id) or one.option(choices[one.id]).name}"
            for one in signals
            if one.id in choices
        ]
        if lines:
            found.append((shop.book.zone_names[zone], lines))
    return found
