"""Who is practising: a name picked from a list, kept in the browser's session."""

from __future__ import annotations

from flask import session

from resale.errors import ResaleError
from resale.records.drill_store import Person, people, person_by_id
from resale.web.shop import Shop

WHO = "drill_person"


class NobodyPickedError(ResaleError):
    """Something was asked for that needs a name first."""


def whoever(shop: Shop) -> Person | None:
    """Find who was picked in this browser; None where nobody was."""
    picked = session.get(WHO)
    return person_by_id(shop.records, picked) if isinstance(picked, int) else None


def somebody(shop: Shop) -> Person:
    """Find who was picked in this browser.

    Raises
    ------
    NobodyPickedError
    """
    found = whoever(shop)
    if found is None:
        raise NobodyPickedError(
            "nobody is picked yet", where="Drill", remedy="pick your name on the Drill screen first"
        )
    return found


def lead_of(shop: Shop) -> str | None:
    """Name of the lead that others are set against; None where there is none."""
    return next((one.name for one in people(shop.records) if one.role == "lead"), None)
