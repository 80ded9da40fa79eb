"""A page of the Rail's table is that part of the whole table put in order."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

from hypothesis import given
from hypothesis import strategies as st

from resale.services.on_hand.rail_index import RailIndex
from resale.services.shop import Shop
from resale.web.rail import rows_shown
from resale.web.rail.rows_shown import TableQuery, table_of

PRICES = st.lists(st.integers(1, 4), max_size=12)


@given(prices=PRICES, down=st.booleans(), page=st.integers(1, 5))
def test_a_page_is_cut_from_the_table_in_order_equals_as_they_came_in(
    prices: list[int], down: bool, page: int
) -> None:
    lines = {
        item: SimpleNamespace(kind="bag", tier=1, standing="ready", price=price, item=item)
        # As a look at one item leaves them: not by their ids.
        for item, price in sorted(enumerate(prices), key=lambda one: -one[0] % 5)
    }
    index = SimpleNamespace(lines=lines, counts=dict)
    query = TableQuery(sort="price", down=down, state="all", page=page)
    size, rows_shown.PER_PAGE = rows_shown.PER_PAGE, 3
    try:
        told: Any = cast("RailIndex", index)
        found = table_of(cast("Shop", None), told, query, behind=True)
    finally:
        rows_shown.PER_PAGE = size
    whole = sorted(lines.values(), key=lambda one: one.item)
    whole.sort(key=lambda one: one.price, reverse=down)
    last = max(1, -(-len(whole) // 3))
    at = min(page, last)
    assert (found.query.page, found.pages, found.total) == (at, last, len(prices))
    assert list(found.lines) == whole[3 * (at - 1) : 3 * at]


def test_what_is_due_comes_by_its_ids_whatever_was_looked_at_last() -> None:
    due = {3: "mark", 1: "mark", 2: "", 4: "out"}
    index = SimpleNamespace(lines={n: SimpleNamespace(id=n, due=what) for n, what in due.items()})
    found: list[Any] = RailIndex.due(cast("RailIndex", index), "mark")
    assert [one.id for one in found] == [1, 3]
