"""The one answer on an item: what its ticket says, its tier, where it goes and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from resale.safety.holds import Hold

Route = Literal["put_out", "mend_first", "hold", "pass_on"]


@dataclass(frozen=True, slots=True)
class HandPrice:
    """A price that somebody set, with why, who and when."""

    reason: str
    by: str
    on: date


@dataclass(frozen=True, slots=True)
class Decided:
    """What is decided of an item when it is valued, before any ticket and any hold.

    Attributes
    ----------
    suggested : int
        First ticket of its plan, in minor units.
    route : str
        Where it goes once nothing holds it.
    reason : str
        Why, in a sentence; empty where it is simply ready.
    share : float or None
        The consignor's share by which it was decided; None where none was agreed for the item.
    by_hand : str
        Why a person set this price, where it has no kind; else empty.
    """

    suggested: int
    route: Route
    reason: str
    share: float | None = None
    by_hand: str = ""


@dataclass(frozen=True, slots=True)
class Standing:
    """How an item stands. Money in minor units.

    Attributes
    ----------
    price : int
        What its ticket says, or would say.
    suggested : int
        First ticket of its plan.
    written : bool
        Whether that stands on a ticket; else it is what is suggested.
    hand : HandPrice or None
        Where a person set the price: it holds until it is taken back.
    tier : str
        Id of the tier.
    route, reason : str
        Where it goes, and why.
    holds : tuple of Hold
        What is open: then it has no ticket.
    on_rail : bool
        Whether it hangs.
    look_first : str
        What is still to be looked at before a first ticket, named in a line; empty for nothing.
    unpriced : str
        Why no ticket is proposed, though nothing else stands against it: nobody said what such
        things bring in this shop's money.
    share : float or None
        The consignor's share that was agreed for it, by which its first ticket and its mending
        are reckoned; None where none was.
    """

    price: int
    suggested: int
    written: bool
    hand: HandPrice | None
    tier: str
    route: Route
    reason: str
    holds: tuple[Hold, ...]
    on_rail: bool = False
    look_first: str = ""
    unpriced: str = ""
    share: float | None = None

    @property
    def ticket(self) -> int | None:
        """What its ticket may say now; None while it is held, not looked over, or unpriced."""
        return None if self.holds or self.look_first or self.unpriced else self.price


def standing_of(
    decided: Decided,
    tier: str,
    holds: tuple[Hold, ...],
    *,
    written: int | None = None,
    hand: HandPrice | None = None,
    on_rail: bool = False,
    look_first: str = "",
    unpriced: str = "",
) -> Standing:
    """Decide how an item stands; every screen, file and device asks here.

    A written ticket goes before what is suggested, and a hold before any way out.

    Parameters
    ----------
    tier : str
        Id of the tier that its valuation gave.
    written : int or None
        What its ticket says, in minor units; None where none was written.
    hand : HandPrice or None
        Who set that price, where a person did.
    on_rail : bool
        What hangs is out already: where else it might go is past.
    look_first : str
        What is still to be looked at; no matter any more once a ticket was written.
    unpriced : str
        Why no price can be proposed; no matter any more either then.
    """
    route, reason = decided.route, decided.reason
    if holds:
        route, reason = "hold", "; ".join(f"{one.name}: {one.why.rstrip('.')}" for one in holds)
    elif on_rail:
        route, reason = "put_out", ""
    look_first = look_first if written is None and not on_rail else ""
    unpriced = unpriced if written is None and not on_rail else ""
    if look_first and not holds:
        reason = f"look first: {look_first}"
    elif unpriced and not holds:
        reason = unpriced
    price = decided.suggested if written is None else written
    return Standing(
        price,
        decided.suggested,
        written is not None,
        hand,
        tier,
        route,
        reason,
        holds,
        on_rail,
        look_first,
        unpriced,
        decided.share,
    )
