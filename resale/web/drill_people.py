"""Who is practising, and whom the others are set against."""

from __future__ import annotations

from resale.records.people import people
from resale.web.shop import Shop


def lead_of(shop: Shop) -> str | None:
    """Name of the lead that others are set against; None where there is none."""
    return next((one.name for one in people(shop.records) if one.role == "lead"), None)
