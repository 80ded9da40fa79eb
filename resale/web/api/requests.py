"""What a device may send."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, field_validator

from resale.selling.consignment.double_entry import PAYMENTS, Payment
from resale.services.items.by_hand import LONGEST as BY_HAND_LONGEST
from resale.services.items.entry import LONGEST_TYPED
from resale.services.items.line_lengths import LONGEST
from resale.services.ledger.sell_basket import LONGEST_REASON
from resale.services.ledger.sell_basket import MOST_LINES as MOST_BASKET
from resale.storage.ledger.event_checks import LONGEST as EVENT_LONGEST
from resale.storage.ledger.event_checks import MOST
from resale.storage.ledger.transitions import Where
from resale.storage.ledger.write_holds import LONGEST_NOTE

MOST_ITEMS = 200
MOST_LINES = 200
# No control character but blanks and new lines: NUL above all, which some databases refuse.
PLAIN = r"^[^\x00-\x08\x0B\x0C\x0E-\x1F\x7F]*$"


def _text(longest: int, least: int = 0) -> StringConstraints:
    return StringConstraints(min_length=least, max_length=longest, pattern=PLAIN)


class Sent(BaseModel):
    """Nothing but the fields named, each of its own type."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Key(Sent):
    """Something that changes the records."""

    key: Annotated[str, StringConstraints(pattern=r"^[!#-\[\]-~]{1,64}$")] | None = Field(
        None, description="Instead of the header Idempotency-Key."
    )


class ItemSent(Sent):
    """One thing as somebody saw it."""

    kind: Annotated[str, _text(60, 1)] = Field(
        description="Id or name of a kind of the catalogue; unsorted where none fits: then `what` "
        "says what it is, and no price is worked out.",
        examples=["jacket"],
    )
    what: Annotated[str, _text(BY_HAND_LONGEST["what"])] = Field(
        "", description="What a thing without a kind is."
    )
    price_minor: Annotated[int, Field(ge=0, le=MOST)] | None = Field(
        None, description="Of a thing without a kind: the price that a person set."
    )
    price_reason: Annotated[str, _text(BY_HAND_LONGEST["why"])] = Field(
        "", description="Why that price."
    )
    label: Annotated[str, _text(LONGEST["label"])] = Field(
        "", description="The maker's name as the shop lists it."
    )
    size: Annotated[str, _text(LONGEST["size"])] = Field(
        "", description="As marked, with the land where it says one: IT 48, W32 L34, 41.5."
    )
    tape: Annotated[str, _text(LONGEST["tape"])] = Field(
        "",
        description="What the size speaks of by the tape: waist laid flat, collar opened flat, "
        "insole; centimetres where no unit stands with it.",
        examples=["41.5 cm"],
    )
    care: Annotated[str, _text(LONGEST["care"])] = Field(
        "",
        description="What the care label says, in words of any of the languages.",
        examples=["wash 30, do not tumble dry"],
    )
    note: Annotated[str, _text(LONGEST["note"])] = ""
    readings: dict[Annotated[str, _text(60)], Annotated[str, _text(LONGEST_TYPED)]] = Field(
        default_factory=dict,
        max_length=300,
        description="By the id of a sign: an option's id or name, a measure, a finding with its "
        "place and extent; empty or ? is not looked at.",
        examples=[{"cuff_buttons": "working", "stain": "hidden 2", "stitch_density": "14 in 1 in"}],
    )
    looks: dict[Annotated[str, _text(60)], Annotated[str, _text(60)]] = Field(
        default_factory=dict,
        max_length=60,
        description="What was looked at before a ticket, by the id of a look: an answer's id. "
        "Nothing gets a ticket while `look_first` names something.",
        examples=[{"look_pockets": "nothing", "look_child": "no"}],
    )


class ManySent(Sent):
    """Several things to value at once."""

    items: list[ItemSent] = Field(min_length=1, max_length=MOST_ITEMS)


class ItemToSave(Key, ItemSent):
    """One thing to save."""

    number: Annotated[str, _text(20)] | None = Field(
        None, description="A saved item to value again; a new item gets its number."
    )
    changes_kind: bool = Field(
        False, description="The item's kind was wrong; this is the right one."
    )


What = Literal["put_out", "ticketed", "marked_down", "sold", "returned", "withdrawn", "passed_on"]


class EventSent(Key):
    """What happened to an item."""

    what: What
    payment: Payment | None = Field(
        None, description="How money changed hands; cash where left out, a return as it was paid."
    )
    amount_minor: int | None = Field(
        None,
        ge=1,
        le=MOST,
        description="Price in minor units: 2450 is 24.50. Left out, a sale takes the price on the "
        "ticket and a return the price paid.",
    )
    day: date | None = Field(None, description="The shop's own day; today where left out.")
    note: Annotated[str, _text(EVENT_LONGEST["note"])] = ""


class BasketLineSent(Sent):
    """One thing of a sale."""

    number: Annotated[str, _text(40, 1)] = Field(description="As on its ticket or as scanned.")
    price_minor: int | None = Field(
        None, ge=1, le=MOST, description="Before the discount; left out, what its ticket says."
    )
    discount_minor: int = Field(0, ge=0, le=MOST, description="Taken off that price.")


class PaidSent(Sent):
    """One way in which a sale was paid."""

    payment: Payment
    amount_minor: int | None = Field(
        None, ge=0, le=MOST, description="Left out once: the rest of the total."
    )


class SaleSent(Key):
    """Things that are bought in one sale."""

    lines: list[BasketLineSent] = Field(min_length=1, max_length=MOST_BASKET)
    paid: list[PaidSent] = Field(
        default_factory=list,
        max_length=len(PAYMENTS),
        description="Ways of paying, each once; all in cash where left out.",
    )
    discount_reason: Annotated[str, _text(LONGEST_REASON)] = Field(
        "", description="Needed where there is a discount."
    )
    day: date | None = Field(None, description="The shop's own day; today where left out.")
    note: Annotated[str, _text(EVENT_LONGEST["note"])] = ""

    @field_validator("paid")
    @classmethod
    def _each_once(cls, paid: list[PaidSent]) -> list[PaidSent]:
        if len({one.payment for one in paid}) < len(paid):
            raise ValueError("a way of paying is named twice; add its amounts up")
        return paid


class CorrectionSent(Key):
    """What should stand instead of a line that this device wrote today."""

    event: int = Field(ge=1, le=2**31 - 1, description="Id of the line, as it was answered.")
    never: bool = Field(False, description="It never happened.")
    amount_minor: int | None = Field(
        None, ge=1, le=MOST, description="The right amount; left out, it stays as it was."
    )
    payment: Payment | None = Field(None, description="The right way of paying.")
    day: date | None = Field(None, description="The right day; left out, it stays as it was.")
    note: Annotated[str, _text(EVENT_LONGEST["note"])] = ""


class ClosingSent(Key):
    """A day of the till that is closed."""

    counted_minor: int | None = Field(
        None, ge=-MOST, le=MOST, description="Cash counted, without the float; may be below 0."
    )
    note: Annotated[str, _text(EVENT_LONGEST["note"])] = Field(
        "", description="Needed where another sum was counted than there should be."
    )


class HoldSent(Key):
    """A hold raised by hand."""

    hold: Annotated[str, _text(40, 1)] = Field(
        description="Id of a hold that people raise.", examples=["mould"]
    )
    note: Annotated[str, _text(LONGEST_NOTE)] = ""


class ClearSent(Key):
    """A lead's word that a hold may be cleared."""

    lead: Annotated[str, _text(60, 1)] = Field(
        description="Name of the lead or owner whose word it is; it stands beside the clearing."
    )
    reason: Annotated[str, _text(400, 3)]
    confirmed: list[Annotated[str, _text(400)]] = Field(
        default_factory=list,
        max_length=30,
        description="Points of the hold's list that the lead confirms, in its own words.",
    )
    mistake: bool = Field(False, description="It was raised by mistake: nothing to confirm.")
    early: bool = Field(False, description="The lead knows that its waiting time still runs.")


class KindAsked(BaseModel):
    """Which kind of the catalogue."""

    model_config = ConfigDict(extra="forbid")
    kind: Annotated[str, _text(60, 1)] | None = Field(None, description="Only this kind, by id.")


class LinesAsked(BaseModel):
    """Which part of the list of items."""

    model_config = ConfigDict(extra="forbid")
    limit: int = Field(50, ge=1, le=MOST_LINES, description="Items of one page.")
    q: Annotated[str, _text(80)] | None = Field(
        None, description="Words found in number, label, size or note, whatever the capitals."
    )
    kind: Annotated[str, _text(60, 1)] | None = Field(None, description="Only this kind, by id.")
    where: Where | None = Field(None, description="Only what stands there now.")
    consignor: Annotated[str, _text(20, 1)] | None = Field(
        None, description="Only what this consignor brought, by number."
    )
    cursor: Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9_=-]{1,40}$")] | None = Field(
        None, description="As `next_cursor` of the page before gave it."
    )
