"""The Rail's table as it is asked for: filtered, sorted, a page at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from resale.selling.mending.mending import MendingPlan
from resale.services.on_hand.lines import Rail, RailLine, mending_of
from resale.services.on_hand.stock import STANDINGS
from resale.web.core.shop import Shop

PER_PAGE = 100
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
    """The part of the table that is shown."""

    query: TableQuery
    lines: tuple[RailLine, ...]
    total: int
    pages: int
    counts: dict[str, int]
    mending: dict[str, MendingPlan]


def table_of(shop: Shop, rail: Rail, query: TableQuery) -> TablePage:
    """Filter, sort and cut the table; mending is worked out for what is shown alone.

    Parameters
    ----------
    shop : Shop
    rail : Rail
        Everything on hand.
    query : TableQuery
        What is looked for, in which order, and which page.
    """
    found = [line for line in rail.lines if _matches(line, query)]
    found.sort(key=SORTS[query.sort], reverse=query.down)
    pages = max(1, -(-len(found) // PER_PAGE))
    page = min(query.page, pages)
    shown = tuple(found[(page - 1) * PER_PAGE : page * PER_PAGE])
    plans = {
        line.number: mending_of(shop, rail.stock, line.row)
        for line in shown
        if line.where == "back_room" and not line.waits and line.planned
    }
    mending = {number: plan for number, plan in plans.items() if plan.chosen}
    counts = Counter(line.standing for line in rail.lines)
    return TablePage(
        replace(query, page=page),
        shown,
        len(found),
        pages,
        {name: counts[name] for name in STANDINGS},
        mending,
    )


def _matches(line: RailLine, query: TableQuery) -> bool:
    return (
        query.kind in ("", line.kind)
        and query.tier in ("", str(line.tier))
        and query.state in ("all", line.standing)
    )
