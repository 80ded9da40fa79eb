"""What the API answers of an item and its life. Money is in minor units of its currency."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from pydantic import Field

from resale.web.api.responses.base import Answer
from resale.web.api.responses.valuation import Hold, Route, StoredValuation


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
    size_words: str = Field(
        description="What mark and tape come to in centimetres of a body; empty where nothing."
    )
    tape: str = Field(description="As typed; empty for none.")
    care: str = Field(description="What the care label says, as typed; empty for none.")
    care_cautions: list[str] = Field(description="What the buyer should be told, a sentence each.")
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


class AddedPhoto(Answer):
    """A photo that is kept of an item."""

    number: str
    photo: int
