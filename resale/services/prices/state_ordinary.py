"""A shop says what ordinary things bring: the anchors of its kinds follow."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from math import sqrt

from resale.errors import ReadingError, RuleBookError
from resale.garments.rulebook.edits import ANCHOR
from resale.garments.rulebook.overlay import RuleChange
from resale.services.actor import Actor
from resale.services.prices.change_rules import change_rules
from resale.services.shop import Shop
from resale.storage.imports.cells.amounts import AmountStyle, read_messy_amount
from resale.storage.models.rule_changes import newest_change

Range = tuple[Decimal, Decimal]
# What was said is told from what the book says by its amount, so it is never quite the book's.
APART = 1e-4


def state_ordinary(
    shop: Shop, actor: Actor, ranges: Mapping[str, tuple[str, str]], at: datetime
) -> dict[str, float]:
    """Set anchors from what most things of a kind bring.

    The anchor is the geometric mean of both ends: prices spread evenly in their logarithms, so
    that lies in the middle of them.

    Parameters
    ----------
    actor : Actor
    ranges : mapping of str to (str, str)
        From and to, as typed, by kind.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    dict of str to float
        Anchors by kind, in the shop's currency.

    Raises
    ------
    ReadingError
        If an amount cannot be read.
    RuleBookError
        If the book has no such kind.
    """
    found, changes = {}, []
    for kind, typed in ranges.items():
        if kind not in shop.changed.kinds:
            raise RuleBookError(
                f"the book has no kind {kind[:40]!r}",
                remedy=f"use one of {', '.join(shop.changed.kinds)}",
            )
        low, high = _range(shop, kind, typed)
        found[kind] = round(sqrt(float(low) * float(high)), max(2, shop.money.decimals))
        if found[kind] == shop.changed.kinds[kind].text.anchor:
            found[kind] += APART
        plural = shop.changed.kinds[kind].text.plural
        changes.append(
            RuleChange(
                kind=kind,
                signal=ANCHOR,
                option=ANCHOR,
                field=ANCHOR,
                value=found[kind],
                who=actor.name,
                when=at.date(),
                why=f"Most {plural.lower()} bring from {low} to {high} {shop.settings.currency}.",
            )
        )
    if not changes:
        raise ReadingError(
            "nothing was said", where="Ordinary prices", remedy="fill in one kind at least"
        )
    change_rules(shop, actor, changes, newest_change(shop.records), at)
    return found


def _range(shop: Shop, kind: str, typed: tuple[str, str]) -> Range:
    style = AmountStyle.of(typed, shop.money)
    try:
        low, high = (read_messy_amount(text, style) for text in typed)
    except ReadingError as fault:
        name = shop.changed.kinds[kind].text.plural
        raise ReadingError(fault.what, where=name, remedy=fault.remedy) from None
    return min(low, high), max(low, high)
