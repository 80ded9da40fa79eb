"""Which tickets are asked for."""

from __future__ import annotations

from datetime import date

from werkzeug.datastructures import MultiDict

from resale.services.on_hand.lines import Rail, RailLine
from resale.web.rail.views import lines_numbered


def tickets_asked(
    rail: Rail, args: MultiDict[str, str], today: date
) -> tuple[list[RailLine], list[RailLine]]:
    """Find the items to print tickets for, and those among them that get none.

    With ``today`` these are all put out, marked down or ticketed anew today and on the rail.

    Parameters
    ----------
    rail : Rail
        Everything on hand.
    args : MultiDict[str, str]
        Of the address: today, or the numbers picked.
    today : date
        In the shop's zone.
    """
    if args.get("today"):
        since = {one.number: one.state.since for one in rail.stock.items}
        lines = [one for one in rail.lines if one.where == "on_rail" and since[one.number] == today]
    elif args.getlist("pick"):
        lines = lines_numbered(rail, args.getlist("pick"))
    else:
        lines = []
    held = [line for line in lines if line.waits]
    return [line for line in lines if not line.waits], held
