"""What one ticket says, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from resale.errors import ReadingError


@dataclass(frozen=True)
class Ticket:
    """What one ticket says.

    Attributes
    ----------
    number : str
        The item's number.
    kind, size : str
        In the shop's words; the size may be empty.
    price : int
        Minor units.
    out : date
        When it goes out at this price.
    tier : int
        Place of its tier in the rule book; 0 is the best.
    tier_name : str
        Printed where there is room; may be empty.
    address : str
        Where the Ledger shows the item. Where it is empty, or too long for the label, the QR mark
        holds the number, which the Ledger finds as well.
    was : int, optional
        The price before the mark (minor units).
    beside : tuple of str
        Lines for the buyer: what it fits by the tape, and how to care for it. Printed where there
        is room.
    """

    number: str
    kind: str
    size: str
    price: int
    out: date
    tier: int = 2
    tier_name: str = ""
    address: str = ""
    was: int | None = None
    beside: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what no ticket may say."""
        if self.price <= 0:
            raise ReadingError(
                "the price is not above nothing", where=self.number, remedy="price the item first"
            )
        if self.was is not None and self.was <= self.price:
            raise ReadingError(
                "the earlier price is not above the new one",
                where=self.number,
                remedy="leave the earlier price off",
            )
