"""The Rail's table as it is asked for: filtered, sorted, a page at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from heapq import nlargest, nsmallest
from typing import Any

from resale.selling.mending.mending import MendingPlan
from resale.services.on_hand.lines import RailLine
from resale.services.on_hand.rail_index import RailIndex, mended
from resale.web.core.shop import Shop

PER_PAGE = 100
# So many marks are put in one form; the rest are due after these.
MOST_DUE = 500
SORTS: dict[str, Callable[[RailLine], Any]] = {
    "number": lambda line: line.number,
    "kind": lambda line: (line.kind_name, line.size, line.number),
    "size": lambda line: (line.size, line.kind_name),
    "tier": lambda line: (line.tier, line.number),
    "price": lambda line: line.price,
    "chance": lambda line: line.next_mark,
    "days": lambda line: line.days,
    "net": lambda line: line.net,
}


@dataclass(frozen=True)
class TableQuery:
    """What the address asks for."""

    sort: str = "number"
    down: bool = False
    kind: str = ""
    tier: str = ""
    state: str = "ready"
    page: int = 1

    @classmethod
    def of(cls, args: Mapping[str, str]) -> TableQuery:
        """Read an address; what it says wrongly counts as not said."""
        page = args.get("page", "1")
        return cls(
            args.get("sort") if args.get("sort") in SORTS else "number",  # type: ignore[arg-type]
            args.get("down") == "1",
            args.get("kind", ""),
            args.get("tier", ""),
            args.get("state", "ready"),
            max(1, int(page)) if page.isdecimal() and len(page) < 6 else 1,
        )

    def parts(self, **changed: Any) -> dict[str, Any]:
        """Parts of an address that asks for the same with something changed."""
        wanted = replace(self, **changed)
        plain = TableQuery()
        named = {name: getattr(wanted, name) for name in ("sort", "kind", "tier", "state", "page")}
        parts_said = {name: value for name, value in named.items() if value != getattr(plain, name)}
        return {**parts_said, "down": 1} if wanted.down else parts_said

    def sorted_by(self, name: str) -> dict[str, Any]:
        """Parts of the address behind a heading: pressed again it turns the order round."""
        return self.parts(sort=name, down=self.sort == name and not self.down, page=1)

    def order(self, name: str) -> str | None:
        """How a column is sorted, as readers of the screen are told."""
        if name != self.sort:
            return None
        return "descending" if self.down else "ascending"


@dataclass(frozen=True)
class TablePage:
    """The part of the table that is shown.

    Attributes
    ----------
    behind : bool
        Whether it is sorted and counted by an index of another day, and another is being laid out.
    """

    query: TableQuery
    index: RailIndex
    behind: bool
    lines: tuple[RailLine, ...]
    total: int
    pages: int
    counts: dict[str, int]
    mending: dict[str, MendingPlan]

    @property
    def aside(self) -> bool:
        """Whether anything without a kind is on hand."""
        return any(line.tier < 0 for line in self.index.lines.values())


def table_of(shop: Shop, index: RailIndex, query: TableQuery, *, behind: bool = False) -> TablePage:
    """Filter, sort and cut the table; mending is worked out for what is shown alone.

    Parameters
    ----------
    shop : Shop
    index : RailIndex
        Everything on hand.
    query : TableQuery
        What is looked for, in which order, and which page.
    behind : bool
        Whether the index is of another day.
    """
    found = [(item, line) for item, line in index.lines.items() if _matches(line, query)]
    pages = max(1, -(-len(found) // PER_PAGE))
    page = min(query.page, pages)
    shown = _first(found, page * PER_PAGE, query)[(page - 1) * PER_PAGE :]
    mending = {} if behind else mended(shop, index, [item for item, _ in shown])
    return TablePage(
        replace(query, page=page),
        index,
        behind,
        tuple(line for _, line in shown),
        len(found),
        pages,
        {str(name): count for name, count in index.counts().items()},
        mending,
    )


def _first(
    found: list[tuple[int, RailLine]], count: int, query: TableQuery
) -> list[tuple[int, RailLine]]:
    """The first lines of a table in its order; the others need not be put in any.

    By id where nothing else tells them apart, as they came in, whichever way round.
    """
    key = SORTS[query.sort]
    if query.down:
        return nlargest(count, found, key=lambda one: (key(one[1]), -one[0]))
    return nsmallest(count, found, key=lambda one: (key(one[1]), one[0]))


def _matches(line: RailLine, query: TableQuery) -> bool:
    return (
        query.kind in ("", line.kind)
        and query.tier in ("", str(line.tier))
        and query.state in ("all", line.standing)
    )
