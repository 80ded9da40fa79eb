"""What the screens say of a valuation, in the words of the trade."""

from __future__ import annotations

from dataclasses import dataclass

from resale.money import Money
from resale.pricing.valuation.next_check import Check
from resale.pricing.valuation.valuation import Valuation
from resale.services.standing.standing import Standing

ROUTE_NAMES = {
    "put_out": "Put out",
    "mend_first": "Mend first",
    "hold": "Hold",
    "pass_on": "Pass on",
}
STANDS = {
    "nowhere": "Not taken in yet",
    "back_room": "In the back room",
    "on_rail": "On the rail",
    "sold": "Sold",
    "gone": "Passed on",
}
"""Where an item is, in words."""
# Below this share a tier is not worth a word.
WORTH_A_WORD = 0.12


@dataclass(frozen=True)
class RouteWords:
    """Where the item goes, why, and what to be careful of."""

    name: str
    now: str
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]


def band_words(valued: Valuation, money: Money) -> str:
    """Say what most of its like sell between.

    The words follow the share: a band of eight in ten is 'most', one of half is 'half'.

    Parameters
    ----------
    valued : Valuation
        A price with its band.
    money : Money
        Writes minor units in the shop's currency.
    """
    if valued.by_hand:
        return "Nobody knows what its like sell between."
    share = "Most sell" if valued.coverage >= 0.7 else f"{valued.coverage:.0%} sell"
    if valued.high < 0:
        return f"{share} from {money.rough(valued.low)} up; too few sales yet to say how far."
    return f"{share} between {money.rough(valued.low)} and {money.rough(valued.high)}."


def support_words(valued: Valuation, money: Money) -> str:
    """Say what the band rests on.

    Parameters
    ----------
    valued : Valuation
        A price with the sales it rests on.
    money : Money
        Writes minor units in the shop's currency.
    """
    if valued.by_hand:
        return "Set by hand: no kind fits it."
    if valued.all_sold == 0:
        return "Rests on the rule book alone: no sales yet."
    kind = valued.kind_plural.lower()
    if valued.sold == 0:
        return (
            f"No sales of {kind} yet: the rule book's opinion, and what "
            f"{money.count(valued.all_sold)} sales of other kinds taught."
        )
    if valued.own_band:
        return f"Rests on {money.count(valued.sold)} sales of {kind}."
    return (
        f"Rests on {money.count(valued.sold)} sales of {kind} "
        f"and {money.count(valued.all_sold)} of all kinds."
    )


def chance_words(valued: Valuation) -> str:
    """Say which tiers the sale may land in, the likeliest first; and where that is another tier.

    The tier is that of the estimate, which is the middle of what the item may bring. Where little
    was looked at, another tier may be likelier than the one that the middle lies in.
    """
    ranked = sorted(valued.chances, key=lambda one: -one.chance)
    words = [f"{one.name} {one.chance:.0%}" for one in ranked if one.chance >= WORTH_A_WORD]
    said = f"May land in {', '.join(words)}."
    if ranked[0].id == valued.tier:
        return said
    return f"{said} {valued.tier_name} is the middle of these; one look more may settle it."


def route_words(valued: Valuation, money: Money, standing: Standing) -> RouteWords:
    """Say plainly where it goes, and why.

    Parameters
    ----------
    valued : Valuation
        With the rules of the book that it met.
    money : Money
    standing : Standing
        How it stands: what is said follows it.
    """
    # What decides comes first.
    gates = sorted(valued.gates, key=lambda gate: gate.route != valued.route)
    told = [standing.reason] if standing.reason and not standing.holds else []
    reasons = told + [f"{gate.name}, {_low(gate.option)}: {gate.reason}" for gate in gates]
    if valued.below_least_ticket:
        reasons.append(
            f"It would bring less than your least ticket of {money.show(valued.least_ticket)}."
        )
    now = {
        "put_out": "Ready for the rail at this price.",
        "mend_first": "Set it on the mending rail; the price holds once it is mended.",
        "hold": "Bag it, write its number on the bag, and hand it to a lead.",
        "pass_on": "Not for the rail: send it on with the others.",
    }[standing.route]
    cautions = [gate.caution for gate in valued.gates if gate.route == "hold" and gate.caution]
    return RouteWords(
        ROUTE_NAMES[standing.route], now, tuple(reasons), tuple(dict.fromkeys(cautions))
    )


def next_words(check: Check, money: Money) -> str:
    """Say what looking would take and what it could move.

    Parameters
    ----------
    check : Check
        What to look at next.
    money : Money
        Writes minor units in the shop's currency.
    """
    minor = round(check.move * 10**money.decimals)
    words = f"{check.seconds:g} s, could move the price by about {money.show(minor)}"
    if check.route_change >= WORTH_A_WORD:
        return f"{words} and send it another way"
    return words


def spoken(valued: Valuation, money: Money, standing: Standing) -> str:
    """One line for whoever listens to the screen; a hold goes before the price.

    Parameters
    ----------
    valued : Valuation
        A price with its band.
    money : Money
        Writes minor units in the shop's currency.
    standing : Standing
        Where the item goes, and which holds are open on it.
    """
    if standing.holds:
        return "Hold: hand it to a lead."
    way = ROUTE_NAMES[standing.route]
    tier = "set by hand" if valued.by_hand else valued.tier_name
    return f"Ticket {money.show(standing.price)}, {tier}, {way}."


def _low(name: str) -> str:
    return name[:1].lower() + name[1:]
