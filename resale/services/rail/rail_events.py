"""What happens to lines of the rail, as events with keys of their own."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from resale.services.on_hand.lines import RailLine
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.transitions import LedgerError


class RailFormError(LedgerError):
    """What was asked for cannot be done with this item."""


def refuse_held(lines: Iterable[RailLine]) -> None:
    """Refuse a ticket to what is held, in one sentence.

    Raises
    ------
    RailFormError
        For the first line that is held.
    """
    for line in lines:
        if line.standing == "held":
            raise RailFormError(
                f"it is held, so it gets no ticket. {line.why.rstrip('.')}",
                where=line.number,
                remedy="do what the Held screen says; a lead clears it there",
            )
        if line.standing == "look":
            raise RailFormError(
                f"it was not looked over, so it gets no ticket. {line.why.rstrip('.')}"
                if line.why.startswith("look first")
                else line.why.rstrip("."),
                where=line.number,
                remedy="open it on the bench, answer what is missing, and save",
            )


def rail_event(
    line: RailLine, what: str, key: str, at: datetime, amount: int | None, **data: object
) -> NewEvent:
    """Make the event of a line.

    Parameters
    ----------
    key : str
        Of the form: with the item and what happened it makes the event's own.
    amount : int or None
        In minor units.
    **data
        What is written beside it, as JSON has it.
    """
    own = event_key("rail", key, line.number, what)
    return NewEvent(line.number, what, at.date(), own, amount, data=data)
