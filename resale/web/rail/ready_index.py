"""The index of the Rail for a page: as it is now, or while it is laid out, that of the day before.

Few items are looked at while the page waits. Many, as on the first page of a day where much is on
hand, are looked at beside the server: until then the page shows what was there before, and says so;
where there is nothing yet to show, the page on how far it is stands in its place.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from flask import url_for
from flask.typing import ResponseReturnValue

from resale.services.on_hand.rail_index import RailIndex, index_of, known_index, to_look_at
from resale.services.shop import Shop
from resale.web.core.jobs import Job, Step, begin

# So many items are looked at while somebody waits for the page: about a second.
AT_THE_PAGE = 1_000


@dataclass(frozen=True)
class Ready:
    """The index, and whether another is being laid out."""

    index: RailIndex
    behind: bool


def ready_index(shop: Shop, today: date) -> Ready | ResponseReturnValue:
    """Give the index, or the way to the page on how far it is.

    Parameters
    ----------
    shop : Shop
    today : date
    """
    if len(to_look_at(shop, today)) <= AT_THE_PAGE:
        return Ready(index_of(shop, today), behind=False)
    here = url_for("rail.table")
    job = Job("rail-index", "Looking at what is on hand", here, here)

    def work(step: Step) -> None:
        index_of(shop, today, lambda done, of: step(done, of, "Looking at what is on hand"))

    answer = begin(job, work)
    known = known_index(shop)
    return answer if known is None else Ready(known, behind=known.day != today)
