"""What the API answers of a price and what it rests on. Money is in minor units: 2450 is 24.50."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from resale.web.api.responses.base import Answer
from resale.web.api.responses.shop import Book
from resale.web.core.problems import Fault


class Part(Answer):
    """A part of the price: as a factor, and as money."""

    factor: float
    minor: int


class Share(Answer):
    """One sign's share of the price, in two parts."""

    signal: str = Field(description="Id of the sign; empty for the maker's label and the season.")
    name: str
    option: str
    reason: str
    rule: Part = Field(description="What the rule book said.")
    sales: Part = Field(description="What the sales changed.")


class Band(Answer):
    """What most of its like sell between."""

    low_minor: int
    high_minor: int | None = Field(description="None where too few sales say how far up.")
    coverage: float = Field(description="Share of sales that it should hold.")
    words: str


class RestsOn(Answer):
    """What the band rests on."""

    sales_of_kind: int
    sales_of_all_kinds: int
    kind_alone: bool
    words: str


class Tier(Answer):
    """A tier with its chance, given the band."""

    id: str
    name: str
    chance: float


class Gate(Answer):
    """A rule of the book that the item met, with what to be careful of."""

    signal: str
    name: str
    option: str
    reason: str
    tier_cap: str | None
    route: str | None
    caution: str | None


class Hold(Answer):
    """What stops a ticket until a lead clears it. It is no legal advice."""

    id: str
    name: str
    why: str
    do_now: list[str]
    never: list[str]
    ask: list[str]
    clear: list[str]
    days: int | None
    standing: str


class Check(Answer):
    """What to look at next."""

    signal: str
    name: str
    hands: str
    seconds: float
    move_minor: int = Field(description="How far the price would move, as a root mean square.")
    words: str


Route = Literal["put_out", "mend_first", "hold", "pass_on"]


class StoredValuation(Answer):
    """A valuation as it is kept."""

    kind: str
    kind_name: str
    label: str
    currency: str
    decimals: int = Field(description="Minor units have this many decimals of the currency.")
    invented: bool = Field(description="Whether shop and sales are invented: nothing is real.")
    estimate_minor: int
    band: Band
    rests_on: RestsOn
    rounded_minor: int = Field(description="The estimate as a ticket would write it.")
    mean_minor: int
    tier: str
    tier_name: str
    tiers: list[Tier]
    below_least_ticket: bool
    anchor_minor: int = Field(description="What an average item of the kind brings.")
    level: Part = Field(description="What the sales say of the kind as a whole.")
    contributions: list[Share] = Field(
        description="Anchor times all factors is the estimate; anchor plus all money is, too."
    )
    gates: list[Gate]
    looked: int
    rule_book: Book
    model: str


class LookFirst(Answer):
    """What is still to be looked at before a first ticket."""

    id: str
    name: str


class Value(StoredValuation):
    """A valuation made now, and how the item would stand."""

    ticket_minor: int | None = Field(description="What its ticket would say; None: it is held.")
    route: Route
    route_words: str
    reason: str = Field(description="Why it goes there; empty where it is simply ready.")
    holds: list[Hold]
    look_first: list[LookFirst] = Field(
        description="Nothing gets a ticket while this names something: looks by their id, to be "
        "answered in `looks`, and signs, to be answered in `readings`."
    )
    next_check: Check | None = Field(description="None: stop, no check is worth the time.")
    left_out: list[str] = Field(description="Signs that the item's other answers rule out.")


class Result(Answer):
    """One of many: a value, or why there is none."""

    value: Value | None = None
    errors: list[Fault] = Field([])


class Values(Answer):
    """Values in the order of the items sent; a bad item does not keep the good ones back."""

    results: list[Result]
