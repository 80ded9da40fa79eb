"""How an item stands that is on the bench, in a file or in a device's hand: not saved yet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.next_check import Check, next_checks
from resale.pricing.valuation.valuation import Valuation
from resale.safety.holds import Hold, shipped_holds
from resale.safety.raising import BY_THE_BOOK, hold_of, holds_found
from resale.services.items.entry import Entry
from resale.services.shop import Shop
from resale.services.standing.decide import decide, decided_by_hand
from resale.services.standing.desk import desk_of
from resale.services.standing.saved import saved_standings, why_unpriced
from resale.services.standing.standing import Decided, Standing, standing_of
from resale.storage.ledger.holds import held_if_saved
from resale.storage.ledger.looked import names_of


@dataclass(frozen=True)
class Looked:
    """What is said of an entry, as it would be stored, and how it stands.

    Attributes
    ----------
    checks : tuple of Check
        Signs not looked at yet, the best first.
    """

    valued: Valuation
    checks: tuple[Check, ...]
    decided: Decided
    standing: Standing

    @property
    def next_check(self) -> Check | None:
        """The best check that is worth the sorter's time, or None: stop."""
        best = self.checks[0] if self.checks else None
        return best if best and best.worth_it else None


def look_at(shop: Shop, entry: Entry, today: date) -> Looked:
    """Value an entry by the prices in use, and say how the item would stand if it were saved now.

    Parameters
    ----------
    entry : Entry
    today : date
        The shop's own day.
    """
    before = saved_standings(shop, [entry.number], today) if entry.number else {}
    known = before.get(entry.number)
    if entry.by_hand is not None:
        valued = shop.explain(entry)
        decided = decided_by_hand(valued, entry.by_hand)
        return Looked(valued, (), decided, _standing(shop, entry, valued, decided, known))
    readings = one_reading(shop.book, entry.kind, entry.choices, shop.label(entry.label))
    values = shop.valuer.value(readings)
    valued = explain(shop.valuer, readings, values)
    agreed = [known.share if known else None]
    decided = decide(desk_of(shop, today), readings, values, agreed)[0]
    standing = _standing(shop, entry, valued, decided, known)
    return Looked(valued, tuple(next_checks(shop.valuer, readings, values)), decided, standing)


def _standing(
    shop: Shop, entry: Entry, valued: Valuation, decided: Decided, known: Standing | None
) -> Standing:
    """How it would stand: what is written of a saved item goes before what is read now."""
    holds = holds_if_saved(shop, entry, valued.route)
    return standing_of(
        decided,
        valued.tier,
        holds,
        written=known.price if known and known.written else None,
        hand=known.hand if known and known.written else None,
        on_rail=known.on_rail if known else False,
        look_first=names_of(entry.unlooked),
        unpriced=why_unpriced(shop, entry.kind, decided),
    )


def holds_if_saved(shop: Shop, entry: Entry, route: str) -> tuple[Hold, ...]:
    """Find what would hold an entry if it were saved now, the most urgent first.

    Parameters
    ----------
    route : str
        Where the rule book sends it.
    """
    found = holds_found(entry.inputs(), route)
    by_hand = {entry.hold} - {""}
    return in_order(by_hand | held_if_saved(shop.records, entry.number, found))


def holds_of_inputs(inputs: Mapping[str, Any], route: str) -> tuple[Hold, ...]:
    """Find what would hold a new item with these inputs, the most urgent first.

    Parameters
    ----------
    inputs : mapping
        As kept with a valuation.
    route : str
        Where the rule book sends it.
    """
    return in_order(holds_found(inputs, route))


def in_order(raised: Iterable[str]) -> tuple[Hold, ...]:
    """Give holds by their ids as they are shown, the most urgent first."""
    ids = set(raised)
    known = [hold for hold in shipped_holds().values() if hold.id in ids]
    others = {hold_of(one).id for one in ids} - {hold.id for hold in known}
    return tuple(known) if not others else (*known, BY_THE_BOOK)
