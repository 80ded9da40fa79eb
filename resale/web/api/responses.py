"""What the API answers. Money is in minor units of the currency: 2450 euro cents are 24.50."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from resale.web.core.problems import Fault


class Answer(BaseModel):
    """Values only."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Health(Answer):
    """That the shop answers."""

    status: Literal["ok"] = "ok"


class Catalogue(Answer):
    """Kinds with their signs, options and how to look."""

    rule_book: str
    columns: list[str]
    looks: list[dict[str, Any]]
    not_looked_at: list[str]
    kinds: list[dict[str, Any]]


class Book(Answer):
    """A rule book."""

    version: str
    fingerprint: str


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
    errors: list[Fault] = []


class Values(Answer):
    """Values in the order of the items sent; a bad item does not keep the good ones back."""

    results: list[Result]


class Saved(Answer):
    """What was saved."""

    number: str
    estimate_minor: int
    ticket_minor: int | None = Field(description="None while it is held.")
    currency: str
    tier: str
    route: str
    holds: list[str] = Field(description="Ids of the holds that were raised.")
    look_first: list[str] = Field(
        [], description="Ids of what is still to be looked at before a first ticket."
    )


class ItemLine(Answer):
    """One line of the list."""

    number: str
    kind: str
    label: str
    size: str
    note: str
    made_at: datetime
    estimate_minor: int
    ticket_minor: int | None = Field(description="What its ticket says; None while it is held.")
    currency: str
    tier: str
    route: str
    where: Literal["nowhere", "back_room", "on_rail", "sold", "gone"]
    consignor: str | None = Field(description="Number of whoever brought it; None: the shop's.")


class ItemLines(Answer):
    """One page of the list, the newest first."""

    items: list[ItemLine]
    next_cursor: str | None = Field(description="None on the last page.")


class Line(Answer):
    """Something that happened to an item."""

    id: int
    what: str
    day: date
    amount_minor: int | None
    currency: str
    note: str
    by: str
    corrects: int | None
    strikes: bool
    made_at: datetime | None


class ItemLife(Answer):
    """An item with all that happened to it."""

    number: str
    kind: str
    label: str
    size: str
    note: str
    where: Literal["nowhere", "back_room", "on_rail", "sold", "gone"]
    consignor: str | None = Field(description="Number of whoever brought it; None: the shop's.")
    price_minor: int | None = Field(description="On its ticket, or what it was sold for.")
    since: date | None
    ticket_minor: int | None = Field(description="What its ticket says; None while it is held.")
    ticket_written: bool = Field(description="Else it is what is suggested.")
    tier: str
    route: Route
    reason: str
    holds: list[Hold]
    valuation: StoredValuation | None = Field(
        description="The newest; None for what only came in a file."
    )
    valued_at: datetime | None
    written: list[Line] = Field(description="Every line as written, corrections among them.")
    held: list[int] = Field(description="Ids of the lines that hold, in order of days.")


class Recorded(Answer):
    """What was written down, and where the item is now."""

    event: int
    number: str
    what: str
    day: date
    amount_minor: int | None
    currency: str
    where: str


class HoldState(Answer):
    """Whether a hold is open on an item now."""

    number: str
    hold: str
    open: bool


class Closing(Answer):
    """A day of the till as it was closed: it is never changed."""

    day: date
    since: date = Field(description="The first day that it closes.")
    expected_minor: dict[str, int] = Field(description="By the way of paying.")
    counted_minor: int | None = Field(description="Cash counted; None where nobody counted.")
    difference_minor: int | None = Field(description="Counted beyond what should be there.")
    note: str
    by: str


class SoldLine(Answer):
    """A thing as it was sold."""

    event: int
    number: str
    price_minor: int = Field(description="Before the discount.")
    discount_minor: int
    paid_minor: int
    tax_minor: int = Field(description="Within what was paid, by the shop's setting.")


class Sale(Answer):
    """A sale as it was written down."""

    sale: str = Field(description="The same in all lines of one sale.")
    day: date
    lines: list[SoldLine]
    total_minor: int
    tax_minor: int
    paid: dict[str, int] = Field(description="By the way of paying, in minor units.")
    currency: str


class DayLine(Answer):
    """Something that happened to an item on a day, corrections included."""

    event: int
    number: str
    what: str
    amount_minor: int | None
    paid: dict[str, int] = Field(description="In above 0, out below; where money moved.")
    tax_minor: int
    discount_minor: int
    discount_reason: str
    sale: str | None = Field(description="What was sold together has the same.")
    note: str
    by: str


class MoneyLine(Answer):
    """Money that counts on a day beside its sales: payouts, deposits, and corrections."""

    what: str
    about_day: date = Field(description="Of what it is about.")
    number: str | None = Field(description="Of the item, where there is one.")
    paid: dict[str, int] = Field(description="In above 0, out below.")
    note: str
    by: str


class DayLines(Answer):
    """A day line by line."""

    day: date
    currency: str
    decimals: int
    lines: list[DayLine]
    beside: list[MoneyLine]


class AddedPhoto(Answer):
    """A photo that is kept of an item."""

    number: str
    photo: int


class Totals(Answer):
    """What came in and went out on a day."""

    day: date
    currency: str
    decimals: int
    counts: dict[str, int]
    sold_minor: int
    returned_minor: int
    passed_on_minor: int
    net_minor: int = Field(description="Sold, less what was given back, and for passing on.")
    till_minor: dict[str, int] = Field(
        description="What counts on this day by the way of paying, payouts and corrections in it."
    )
    closed: Closing | None = Field(description="None while the day is open.")


class KindSales(Answer):
    """What the prices of a kind rest on."""

    kind: str
    sales: int
    band_of_its_own: bool


class Model(Answer):
    """The prices in use."""

    model: str
    rule_book: Book
    sales: int
    kinds: list[KindSales]
    coverage: float
    currency: str
    decimals: int
    invented: bool
    fallback: str | None = Field(description="Why the expected prices are not in use.")
