"""A thing without a kind: what it is in somebody's words, and a price that a person set, with why.

Nothing is worked out for it. What is kept is a valuation all the same, so that every screen, file
and device reads it as it reads any other: without a band, a tier or contributions.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from resale.errors import ReadingError, ResaleError
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.money import Money
from resale.pricing.valuation.explanation import gates_met
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuation import Valuation
from resale.storage.imports.cells.amounts import AmountStyle, read_messy_amount

BY_HAND = "by-hand"
"""What stands in the place of a model."""
LONGEST = {"what": 60, "why": 200}
NO_PRICE = "no kind says what it may bring: set its price by hand, and say why"


@dataclass(frozen=True)
class ByHand:
    """What stands in the place of a kind. Money in minor units.

    Attributes
    ----------
    price : int
        0 where nobody set one yet.
    why : str
        The reason for that price.
    typed, fault : str
        The price as it was typed, and a sentence where it is no amount.
    """

    what: str = ""
    price: int = 0
    why: str = ""
    typed: str = ""
    fault: str = ""

    @property
    def stored(self) -> dict[str, Any]:
        """As it is kept with a valuation."""
        return {"what": self.what, "price": self.price, "why": self.why}


class NoKindError(ResaleError):
    """A thing without a kind lacks what stands in its place."""


def by_hand_typed(what: str, price: str, why: str, money: Money) -> ByHand:
    """Read what somebody typed of a thing without a kind.

    Parameters
    ----------
    what : str
        What it is.
    price : str
        As a person writes it; empty for none yet.
    why : str
        The reason for that price.
    money : Money
        The shop's.
    """
    called, reason = " ".join(what.split()), " ".join(why.split())
    typed = " ".join(price.split())[:60]
    if not typed:
        return ByHand(called, why=reason)
    try:
        amount = read_messy_amount(typed, AmountStyle.of([typed], money))
    except ReadingError as fault:
        return ByHand(called, 0, reason, typed, f"Price: {fault.sentence}")
    return ByHand(called, int(amount.scaleb(money.decimals)), reason, typed)


def by_hand_stored(inputs: Mapping[str, Any]) -> ByHand:
    """Read what was kept of a thing without a kind; of any other, what little stands for it.

    Parameters
    ----------
    inputs : mapping
        As kept with a valuation.
    """
    kept = inputs.get("by_hand", {})
    return ByHand(str(kept.get("what", "")), int(kept.get("price", 0)), str(kept.get("why", "")))


def faults_of(said: ByHand) -> dict[str, str]:
    """Say what keeps a thing without a kind from being saved, by the name of the field."""
    faults = {
        name: f"{name.capitalize()}: {len(text)} characters; shorten it to {LONGEST[name]}."
        for name, text in (("what", said.what), ("why", said.why))
        if len(text) > LONGEST[name]
    }
    if not said.what:
        faults["what"] = "What it is: write it in a word or two, so that it can be found again."
    if said.fault:
        faults["price"] = said.fault
    elif said.price and not said.why:
        faults["why"] = "Why this price: a price set by hand needs its reason beside it."
    elif said.why and not said.price:
        faults["price"] = "Price: a reason stands there without one."
    return faults


def refuse_unfit(said: ByHand) -> None:
    """Refuse to save what lacks something, in one sentence.

    Raises
    ------
    NoKindError
        With the first fault.
    """
    fault = next(iter(faults_of(said).values()), "")
    if fault:
        where, _, what = fault.partition(": ")
        raise NoKindError(what.rstrip("."), where=where, remedy="put it right and send it again")


def valued_by_hand(
    said: ByHand, choices: Mapping[str, str], label: str, terms: ShopTerms
) -> Valuation:
    """Write what a person says of a thing as a valuation.

    Parameters
    ----------
    said : ByHand
    choices : mapping of signal id to option id
        What was looked at: none of it makes a price, but its gates send the thing another way.
    label : str
        As the shop calls it.
    terms : ShopTerms
        For currency, decimals and the least ticket.
    """
    gates = gates_met(unsorted_kind(), choices)
    routes = [ROUTES.index(one.route) for one in gates if one.route]
    price, name = said.price, said.what or unsorted_kind().text.name
    return Valuation(
        currency=terms.currency,
        decimals=terms.decimals,
        kind=UNSORTED,
        kind_name=name[:1].upper() + name[1:],
        kind_plural=unsorted_kind().text.plural,
        label=label,
        anchor=price,
        level_factor=1.0,
        level_money=0,
        contributions=(),
        estimate=price,
        low=price,
        high=price,
        mean=price,
        ticket=price,
        coverage=terms.coverage,
        standing=1.0,
        tier="",
        tier_name="no tier",
        tier_meaning="",
        tier_place=-1,
        chances=(),
        route=ROUTES[max(routes, default=ROUTES.index("put_out"))],
        gates=gates,
        below_least_ticket=False,
        least_ticket=round(terms.least_ticket * 10**terms.decimals),
        sold=0,
        own_band=False,
        all_sold=0,
        looked=0,
        make=0.0,
        make_doubt=1.0,
        make_looked=0,
        make_tells=0,
        make_factor=1.0,
    )
