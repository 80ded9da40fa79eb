"""Rows of a file of stock as things that can be brought in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from resale.errors import ReadingError
from resale.services.items.entry import Entry, entry_of
from resale.services.items.rack_rows import inputs_of
from resale.services.items.stock_without_kind import RowWithoutKind, entry_without_kind
from resale.services.shop import Shop
from resale.storage.imports.items.item_columns import Problem, problem_at
from resale.storage.imports.items.own_items import OwnItems
from resale.storage.ledger.effective_events import event_key


@dataclass(frozen=True)
class StockRow:
    """A thing of the file. Money in minor units.

    Attributes
    ----------
    place : int
        Of its row in the file.
    item, consignor : str
        Its own number and the number of whoever brought it; empty where there is none.
    on_rail : bool
        Whether it hangs already.
    pieces : int
        So many things the row stands for, where they cannot be told apart: then it comes back.
    """

    place: int
    item: str
    entry: Entry
    taken_in_on: date | None
    put_out_on: date | None
    ticket: int | None
    consignor: str
    on_rail: bool
    pieces: int = 1


def rows_of(shop: Shop, own: OwnItems) -> Iterator[StockRow]:
    """Rows of things with a kind.

    Parameters
    ----------
    shop : Shop
    own : OwnItems
    """
    items, table = own.items, own.ours.table
    met: Counter[str] = Counter()
    inputs = inputs_of(items, slice(0, len(items.good)), shop.book)
    for place, said in zip(items.good, inputs, strict=True):
        cells = dict(zip(table.heading, table.rows[place], strict=True))
        for _ in range(_things(cells)):
            entry = _entry(shop, said, _key(cells, met))
            yield _row(shop, int(own.ours.whole[place]), cells, entry)


def rows_aside(
    shop: Shop, own: OwnItems, aside: list[RowWithoutKind]
) -> tuple[list[StockRow], list[Problem]]:
    """Rows of things without a kind, and what is wrong with those that cannot come in.

    Parameters
    ----------
    shop : Shop
    own : OwnItems
    aside : list of RowWithoutKind
    """
    met: Counter[str] = Counter()
    good, bad = [], []
    for one in aside:
        try:
            for _ in range(_things(one.cells)):
                entry = entry_without_kind(one, _key(one.cells, met), shop.money)
                good.append(_row(shop, one.place, one.cells, entry))
        except ReadingError as fault:
            bad.append(problem_at(own.table, one.place, "", fault))
    return good, bad


def _pieces(cells: Mapping[str, str]) -> int:
    return int(cells.get("quantity") or 1)


def _things(cells: Mapping[str, str]) -> int:
    """How many things a row is: each gets a number of ours, but one number is one thing."""
    return 1 if cells.get("item", "").strip() else _pieces(cells)


def _key(cells: Mapping[str, str], met: Counter[str]) -> str:
    """The key of a row when the file comes again; equal rows are told by their turn."""
    like = event_key("stock", *(str(one) for one in cells.items() if one[0] != "quantity"))
    met[like] += 1
    return event_key(like, str(met[like] - 1))


def _row(shop: Shop, place: int, cells: Mapping[str, str], entry: Entry) -> StockRow:
    ticket = cells.get("ticket", "")
    return StockRow(
        place,
        cells.get("item", "").strip().upper(),
        entry,
        _day(cells.get("taken_in_on", "")),
        _day(cells.get("put_out_on", "")),
        round(Decimal(ticket) * 10**shop.money.decimals) if ticket else None,
        cells.get("consignor", "").strip(),
        # A list that says of none since when it hangs is a list of what hangs.
        bool(cells.get("put_out_on")) or "put_out_on" not in cells,
        _pieces(cells) // _things(cells),
    )


def _entry(shop: Shop, said: Mapping[str, Any], key: str) -> Entry:
    return entry_of(
        shop.book.kinds[said["kind"]],
        said["choices"],
        said["typed"],
        key=key,
        **{name: said[name] for name in ("label", "size", "note", "looks")},
        **{name: said.get(name, "") for name in ("tape", "care")},
    )


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None
