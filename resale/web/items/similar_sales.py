"""The nearest past sales of a saved item: what differs, and what that is worth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import one_reading
from resale.services.items.entry import entry_from_inputs
from resale.services.ledger.sold_now import sold_lately
from resale.storage.items.store import item_numbered
from resale.web.core.shop import current_shop

screen = Blueprint("similar_sales", __name__, url_prefix="/items")
# More than this is no longer near.
LISTED = 5


@screen.get("/<number>/like")
def nearest(number: str) -> ResponseReturnValue:
    """Show the past sales that are nearest to an item; a piece of its page where that asks."""
    shop = current_shop()
    item = item_numbered(shop.records, number)
    entry = entry_from_inputs(shop.valued_kind(item.kind), item.newest.inputs, item.number)
    label = shop.label(entry.label)
    read, today = one_reading(shop.book, item.kind, entry.choices, label), shop.here().date()
    read = replace(read, seasons=seasons_of(shop.book, read, [today.month]))
    sold = sold_lately(shop, item.kind)
    # Its own sale is no evidence on itself.
    near = sold.past.nearest(
        read, np.datetime64(today), LISTED + 1, half_life=shop.settings.half_life_days
    )
    others = [one for one in near if sold.items.numbers[one.sale] != item.number][:LISTED]
    live = request.headers.get("HX-Request") == "true"
    template = "items/similar_rows.html" if live else "items/similar_sales.html"
    return render_template(template, item=item, near=others, numbers=sold.items.numbers)
