"""The marks off a ticket that a thing has already."""

from __future__ import annotations

import numpy as np

from resale.selling.markdown.terms import SellingTerms
from resale.services.shop import Shop


def marks_off(shop: Shop, ticket: int) -> list[int]:
    """Tickets of the price periods: the shop's own marks off a ticket, whatever we had asked.

    Parameters
    ----------
    shop : Shop
    ticket : int
        That the thing has, in minor units.

    Returns
    -------
    list of int
        From today on, in minor units.
    """
    minor = 10**shop.money.decimals
    marked = ticket / minor * (1 - np.array(SellingTerms.of(shop.settings).habit_marks()))
    written = np.maximum(shop.terms.ticket(marked), shop.terms.least_ticket) * minor
    later = np.minimum(np.rint(written).astype(int), ticket)
    return [ticket, *later[1:].tolist()]
