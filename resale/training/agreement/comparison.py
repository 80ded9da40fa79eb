"""What a trainee and the lead each said of an item, what it comes to, and how to say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from resale.garments.rulebook.schema import Tier
from resale.garments.rulebook.signals import Signal

What = Literal["missed", "otherwise", "extra"]
Show = Callable[[int], str]
"""Writes an amount in minor units."""


@dataclass(frozen=True, slots=True)
class Told:
    """What one person said of an item.

    Attributes
    ----------
    choices : mapping of signal id to option id
        Signals looked at.
    tier : Tier or None
        Tier given.
    price : int or None
        Ticket price given, in minor units.
    who : str
        Who it was, as the subject of a sentence.
    """

    choices: Mapping[str, str]
    tier: Tier | None = None
    price: int | None = None
    who: str = "the lead"

    @property
    def whose(self) -> str:
        """The same as the owner of a reading."""
        return f"{self.who}'s"


@dataclass(frozen=True, slots=True)
class Valued:
    """What the model makes of one reading.

    Attributes
    ----------
    estimate, low, high : int
        In minor units; a band without an upper end has -1.
    tier : Tier
    route : str
    """

    estimate: int
    low: int
    high: int
    tier: Tier
    route: str

    def holds(self, price: int) -> bool:
        """Whether a price lies inside the band."""
        return self.low <= price and (self.high < 0 or price <= self.high)


@dataclass(frozen=True, slots=True)
class Difference:
    """One signal on which trainee and lead differ.

    Attributes
    ----------
    what : str
        'missed' (only the lead looked), 'otherwise' (both, with other answers), 'extra' (only the
        trainee looked).
    answer, lead_said : str
        Names of the options; empty where not looked at.
    factor, lead_factor : float
        What each reading does to the price.
    money : int
        Minor units by which the trainee's estimate is off because of it; above 0 is too high.
    now, mended : Valued
        What the model makes of the trainee's reading, and of the same with this one signal read
        as the lead did.
    """

    signal: Signal
    what: What
    answer: str
    lead_answer: str
    factor: float
    lead_factor: float
    money: int
    now: Valued
    mended: Valued
    who: str = "the lead"

    @property
    def moves_tier(self) -> bool:
        """Whether this one reading changes the tier."""
        return self.mended.tier != self.now.tier

    @property
    def moves_route(self) -> bool:
        """Whether this one reading changes where the item goes."""
        return self.mended.route != self.now.route

    def sentence(self, show: Show) -> str:
        """Say it in one sentence."""
        return f"{self.signal.name}: {self._seen()}; {self._cost(show)}{self._moves()}."

    def _seen(self) -> str:
        if self.what == "missed":
            return f"you did not look, {self.who} found “{self.lead_answer}”"
        if self.what == "extra":
            return f"you said “{self.answer}”, {self.who} did not look"
        return f"you said “{self.answer}”, {self.who} “{self.lead_answer}”"

    def _cost(self, show: Show) -> str:
        if self.money == 0:
            return "it moves no money here"
        return (
            f"it puts your price {show(abs(self.money))} too {'high' if self.money > 0 else 'low'}"
        )

    def _moves(self) -> str:
        moves = []
        if self.moves_tier:
            moves.append(f"the tier would be {self.mended.tier.name}, not {self.now.tier.name}")
        if self.moves_route:
            then, now = route_name(self.mended.route), route_name(self.now.route)
            moves.append(f"the route would be “{then}”, not “{now}”")
        return f"; read as {self.who} did, {' and '.join(moves)}" if moves else ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A trainee's reading against the lead's and against the model.

    Attributes
    ----------
    differences : tuple of Difference
        What would have let a held item through first, then the costliest.
    alike : tuple of Signal
        Read the same by both.
    by_trainee, by_lead : Valued
        What the model makes of each reading.
    """

    trainee: Told
    lead: Told
    differences: tuple[Difference, ...]
    alike: tuple[Signal, ...]
    by_trainee: Valued
    by_lead: Valued

    @property
    def money(self) -> int:
        """Trainee's estimate less the lead's, in minor units: the sum over the differences."""
        return self.by_trainee.estimate - self.by_lead.estimate

    def count(self, what: What) -> int:
        """How many signals differ in this way."""
        return sum(one.what == what for one in self.differences)

    def sentence(self, show: Show) -> str:
        """Say the whole in one sentence."""
        ours, theirs = show(self.by_trainee.estimate), show(self.by_lead.estimate)
        price = (
            f"come to {ours} where {self.lead.whose} come to {theirs}"
            if self.money
            else f"come to the same price, {ours}"
        )
        return (
            f"Of {self.lead.whose} {len(self.lead.choices)} readings you have "
            f"{len(self.alike)} alike, {self.count('otherwise')} otherwise and "
            f"{self.count('missed')} not looked at; "
            f"yours {price}."
        )

    def tier_sentence(self) -> str:
        """Speak of the tier that the trainee gave; empty where none was."""
        if self.trainee.tier is None:
            return ""
        judged = f", and {self.lead.who} said {self.lead.tier.name}" if self.lead.tier else ""
        return (
            f"You said {self.trainee.tier.name}; your own readings come to "
            f"{self.by_trainee.tier.name}, {self.lead.whose} to {self.by_lead.tier.name}{judged}."
        )

    def price_sentence(self, show: Show) -> str:
        """Speak of the price that the trainee gave; empty where none was."""
        if self.trainee.price is None:
            return ""
        judged = f", and {self.lead.who} wrote {show(self.lead.price)}" if self.lead.price else ""
        side = "inside" if self.by_lead.holds(self.trainee.price) else "outside"
        return (
            f"You wrote {show(self.trainee.price)}; your own readings come to "
            f"{show(self.by_trainee.estimate)}, {self.lead.whose} to {show(self.by_lead.estimate)}"
            f"{judged}. Yours lies {side} the price band of {self.lead.whose} readings."
        )


def route_name(route: str) -> str:
    """Name of a route on screen.

    Examples
    --------
    >>> route_name("mend_first")
    'Mend first'
    """
    return route.replace("_", " ").capitalize()
