"""Who is practising, and whom the others are set against."""

from __future__ import annotations

from resale.storage.people.people import people
from resale.web.core.shop import Shop


def lead_of(shop: Shop) -> str | None:
    """Name of the lead that others are set against; None where there is none.

    In a shop too small for a lead it is the owner.
    """
    everybody = people(shop.records)
    above = (one.name for role in ("lead", "owner") for one in everybody if one.role == role)
    return next(above, None)
