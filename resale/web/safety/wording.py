"""What the screens say of holds, and which of them stand against what is on the bench."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from resale.safety.holds import WHO, Hold
from resale.safety.raising import hold_of
from resale.storage.ledger.hold_rows import HoldEvent
from resale.storage.ledger.holds import OpenHold

STATUS_WORDS = {
    "seen": "read",
    "second hand": "read in a report of it",
    "memory": "from memory: check it before it decides anything",
    "practice": "common practice, no source",
}


@dataclass(frozen=True)
class HeldView:
    """An open hold as a page shows it.

    Attributes
    ----------
    until : date or None
        First day on which its quarantine is over.
    early : bool
        Whether that day is still to come.
    """

    held: OpenHold
    until: date | None
    early: bool

    @property
    def rule(self) -> Hold:
        """Why it waits, and what to do."""
        return self.held.rule

    @property
    def who(self) -> str:
        """Whom to ask first, in a word or two."""
        return WHO[self.held.rule.ask[0].who]


@dataclass(frozen=True)
class Line:
    """One line of what was raised and cleared."""

    event: HoldEvent
    name: str


def views_of(held: tuple[OpenHold, ...], at: datetime) -> tuple[HeldView, ...]:
    """Give holds as a page shows them at a moment in the shop's zone.

    Parameters
    ----------
    held : tuple of OpenHold
        Open holds of an item.
    at : datetime
        In the shop's zone; days of a quarantine are counted until then.
    """
    return tuple(HeldView(one, one.until, one.is_early(at)) for one in held)


def lines_of(events: tuple[HoldEvent, ...]) -> tuple[Line, ...]:
    """Give what was raised and cleared, the newest first."""
    return tuple(Line(one, hold_of(one.hold).name) for one in reversed(events))
