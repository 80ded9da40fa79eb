"""Which tickets are asked for."""

from __future__ import annotations

from datetime import date

from werkzeug.datastructures import MultiDict

from resale.services.on_hand.lines import RailLine
from resale.storage.ledger.ledger import out_since
from resale.web.core.shop import Shop
from resale.web.rail.views import lines_numbered


def tickets_asked(
    shop: Shop, args: MultiDict[str, str], today: date
) -> tuple[list[RailLine], list[RailLine]]:
    """Find the items to print tickets for, and those among them that get none.

    With ``today`` these are all put out, marked down or ticketed anew today and on the rail.

    Parameters
    ----------
    shop : Shop
    args : MultiDict[str, str]
        Of the address: today, or the numbers picked.
    today : date
        In the shop's zone.
    """
    if args.get("today"):
        numbers = out_since(shop.records, today)
        lines = lines_numbered(shop, today, numbers) if numbers else []
    elif args.getlist("pick"):
        lines = lines_numbered(shop, today, args.getlist("pick"))
    else:
        lines = []
    held = [line for line in lines if line.waits]
    return [line for line in lines if not line.waits], held
