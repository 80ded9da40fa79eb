"""No ticket before the looks that a kind requires: asked where events are written.

A save keeps beside its inputs what was still to be looked at then. What has its ticket already
keeps it: the looks are for what comes to the rail.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ValuationRow
from resale.storage.ledger.item_now import newest_valuations
from resale.storage.ledger.transitions import Event, LedgerError

# What may not happen before everything was looked at.
WANTS_LOOKS = frozenset({"ticketed", "put_out", "sold"})
_TICKETED = frozenset({"ticketed", "put_out"})


class NotLookedError(LedgerError):
    """A ticket, or a sale without one, was asked for something that nobody looked over."""


def refuse_unlooked(
    session: Session, item_id: int, number: str, what: str, before: Iterable[Event]
) -> None:
    """Refuse a first ticket while something is still to be looked at.

    Parameters
    ----------
    what : str
        As in the Ledger.
    before : iterable of Event
        What happened to it so far, as it stands after corrections.

    Raises
    ------
    NotLookedError
        With the names of what is missing.
    """
    if what not in WANTS_LOOKS or any(event.what in _TICKETED for event in before):
        return
    missing = unlooked_by_item(session, [item_id]).get(item_id, {})
    if missing:
        raise NotLookedError(
            f"not looked at yet: {names_of(missing)}",
            where=number,
            remedy="open it on the bench, answer what is missing, and save",
        )


def unlooked_by_item(
    session: Session, item_ids: Iterable[int] | None = None
) -> dict[int, Mapping[str, str]]:
    """Give what is still to be looked at, by item, as the newest valuation kept it.

    Parameters
    ----------
    item_ids : iterable of int, optional
        All items, unless told which.

    Returns
    -------
    dict of item id to mapping of id to name
        Without the items of which nothing is missing.
    """
    newest = newest_valuations(None if item_ids is None else list(item_ids))
    query = select(ValuationRow.item_id, ValuationRow.inputs).where(ValuationRow.id.in_(newest))
    found = ((item, inputs.get("unlooked", {})) for item, inputs in session.execute(query))
    return {item: missing for item, missing in found if missing}


def names_of(missing: Mapping[str, str], most: int = 4) -> str:
    """Name what is missing in one line; a long list ends in how many more.

    Parameters
    ----------
    missing : mapping of id to str
        Names of looks and signs.
    most : int
        So many are named.

    Returns
    -------
    str
        Empty where nothing is missing.
    """
    names = [name[:1].lower() + name[1:] for name in missing.values()]
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"
