"""The life that a thing had in other shops of the chain, as it came along with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from resale.storage.items.saved_rows import BEFORE
from resale.storage.ledger.ledger import ItemLife


@dataclass(frozen=True, slots=True)
class LineBefore:
    """Something that happened to it elsewhere. Money in minor units.

    Attributes
    ----------
    what : str
        As in the Ledger.
    amount : int or None
    currency : str
        ISO 4217 code; empty where no money is meant.
    """

    shop: str
    day: date
    what: str
    amount: int | None
    currency: str


@dataclass(frozen=True, slots=True)
class LifeBefore:
    """Where it was last before it came here, and all its lines, the oldest first."""

    shop: str
    number: str
    lines: Sequence[LineBefore]


def life_before(life: ItemLife) -> LifeBefore | None:
    """Read what came along with a thing; None where it came in here first."""
    came = next((one.data[BEFORE] for one in life.held if BEFORE in one.data), None)
    if came is None:
        return None
    lines = [
        LineBefore(
            str(line["shop"]),
            date.fromisoformat(line["day"]),
            str(line["what"]),
            line.get("amount"),
            str(line.get("currency", "")),
        )
        for line in came.get("lines", ())
    ]
    return LifeBefore(str(came["shop"]), str(came["number"]), lines)
