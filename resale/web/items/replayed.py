"""A saved valuation beside the same worked out again, as a lead sees it on the item's page."""

from __future__ import annotations

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from resale.storage.items.replay import replay
from resale.web.core.shop import current_shop

screen = Blueprint("replayed", __name__, url_prefix="/items")


@screen.get("/<number>/again")
def one(number: str) -> ResponseReturnValue:
    """Work a valuation of the item out again; a piece of its page where that asks.

    ``back`` in the address says how many valuations to go back; the newest where it is left out.
    """
    shop = current_shop()
    back = request.args.get("back", 0, type=int)
    found = replay(shop.records, shop.settings, shop.book, number, back)
    live = request.headers.get("HX-Request") == "true"
    template = "items/replayed_part.html" if live else "items/replayed.html"
    return render_template(template, number=number.strip().upper(), back=back, found=found)
