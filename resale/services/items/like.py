"""Reading a thing like one that was read before, and saving a pile of like things at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import NAMESPACE_OID, uuid5

from resale.garments.rulebook.gradings import Number
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.safety.required_looks import HOLDING
from resale.services.actor import Actor
from resale.services.items.by_hand import refuse_unfit
from resale.services.items.entry import Entry, entry_from_inputs, finished
from resale.services.items.save_item import save_many, signed_entry, to_save
from resale.services.shop import Shop
from resale.services.standing.fresh import look_at

MOST_IN_A_PILE = 50
# Signs of a label or of the whole that go with one piece and not with its like.
_OF_ONE_PIECE = frozenset({"size_place", "shop_tag", "set_whole", "parts_whole", "colour"})


def entry_like(kind: Kind, inputs: Mapping[str, Any], number: str) -> Entry:
    """Open a new item with what it shares with a saved one; what differs is asked again.

    What is made alike is taken over: label, cloth, make. Wear, size, colour, completeness, the note
    and every look before a ticket are of one piece, and open.

    Parameters
    ----------
    kind : Kind
    inputs : mapping
        As kept with the saved item.
    number : str
        That item, which the new one names.
    """
    before = entry_from_inputs(kind, inputs, "")
    return finished(
        kind,
        replace(
            before,
            picked=_shared(kind, before.picked),
            typed=_shared(kind, before.typed),
            gauges=_shared(kind, before.gauges),
            usual=_shared(kind, before.usual),
            flats={},
            measured={},
            size="",
            note="",
            looks={},
            looks_by={},
            untold=(),
            faults={},
            like=number,
        ),
    )


def save_pile(
    shop: Shop, actor: Actor, entry: Entry, count: int, at: datetime, *, each_looked_over: bool
) -> list[str]:
    """Save a pile of like things from one reading, all of them or none; gives their numbers.

    Parameters
    ----------
    actor : Actor
        Whoever read the first.
    entry : Entry
        What was read of the first; sent again with the same key, it saves nothing new.
    count : int
        Things in the pile.
    at : datetime
        Now, in the shop's zone.
    each_looked_over : bool
        Whether somebody said that each was looked over as the first was. If not, the looks before a
        ticket stay open for all but the first.
    """
    if entry.by_hand is not None:
        refuse_unfit(entry.by_hand)
    first = signed_entry(shop, entry, actor)
    others = first if each_looked_over else _not_looked_over(shop.kind(entry.kind), first)
    # Looked at as the bench showed it; what is like is said once for all.
    pile = [to_save(shop, first, look_at(shop, first, at.date()))]
    if count > 1:
        like = to_save(shop, others, look_at(shop, others, at.date()))
        keys = (str(uuid5(NAMESPACE_OID, f"{entry.key}/{place}")) for place in range(1, count))
        pile += [replace(like, key=key) for key in keys]
    return save_many(shop, actor, pile, at)


def _not_looked_over(kind: Kind, entry: Entry) -> Entry:
    held = {s.id for s in kind.signals if s.id in kind.holding or s.id in HOLDING}
    picked = {name: option for name, option in entry.picked.items() if name not in held}
    return finished(kind, replace(entry, picked=picked, looks={}, looks_by={}))


def _shared(kind: Kind, of_signals: Mapping[str, str]) -> dict[str, str]:
    return {name: one for name, one in of_signals.items() if _is_shared(kind, kind.by_id[name])}


def _is_shared(kind: Kind, signal: Signal) -> bool:
    if signal.about == "wear" or signal.id in HOLDING or signal.id in kind.holding:
        return False
    of_one_piece = signal.id in _OF_ONE_PIECE
    return not of_one_piece and not (signal.about == "label" and isinstance(signal.measure, Number))
