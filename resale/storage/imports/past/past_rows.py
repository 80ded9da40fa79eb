"""One past sale as it will be written, and the key that tells whether it was written before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from types import MappingProxyType
from typing import Any

import numpy as np

from resale.garments.labels.label_key import label_key
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.storage.imports.cells.money_cells import in_pieces
from resale.storage.imports.past.sale_files import Days, SaleFile
from resale.storage.ledger.effective_events import event_key


@dataclass(frozen=True)
class PastRow:
    """A past sale. Money in minor units.

    Attributes
    ----------
    place : int
        Place of its row in the file.
    item : str
        Its number as the file gives it, in capitals; empty where it gives none.
    first_ticket, ticket : int or None
        Price on the first and on the last ticket, where the file says.
    receipt : str
        Number of the receipt, where the file gives one.
    was : mapping of str to str
        What the row said in another currency, and the rate.
    piece : int
        Which of the pieces of its row, from 0.
    again : int
        How many equal sales stand before it in the file.
    batch : str
        Of a file whose sales are others though they are equal to some in the records.
    """

    place: int
    item: str
    kind: str
    label: str
    size: str
    note: str
    choices: Mapping[str, str]
    taken_in_on: date | None
    put_out_on: date | None
    sold_on: date
    first_ticket: int | None
    ticket: int | None
    price: int

    receipt: str = ""
    was: Mapping[str, str] = field(default_factory=dict)
    piece: int = 0
    again: int = 0
    batch: str = ""

    @cached_property
    def likeness(self) -> str:
        """The same for equal sales, however their files write dates, amounts and words."""
        return self._key(label_key(self.label), *filter(None, ("receipt", self.receipt)))

    @cached_property
    def key(self) -> str:
        """The same for the same sale: of equal ones in a file each has its own."""
        return event_key(self.likeness, str(self.again), self.batch)

    @cached_property
    def former_key(self) -> str:
        """Key of the first of its equals by which earlier versions knew it."""
        return self._key(self.label)

    def _key(self, label: str, *more: str) -> str:
        days = (self.taken_in_on, self.put_out_on, self.sold_on)
        money = (self.first_ticket, self.ticket, self.price)
        line = (self.item, self.kind, label, self.size, self.note)
        chosen = (f"{signal}={option}" for signal, option in sorted(self.choices.items()))
        parts = (*line, *map(str, days), *map(str, money), *chosen, *more)
        return event_key("past sale", *parts)


def past_rows(
    sales: SaleFile,
    whole: np.ndarray,
    book: RuleBook,
    decimals: int,
    was: Mapping[int, Mapping[str, str]] = MappingProxyType({}),
) -> list[PastRow]:
    """Turn the good rows of a file into past sales, one a piece.

    Parameters
    ----------
    whole : ndarray of int
        Place in the shop's own file of each row of the file that `sales` was read from.
    was : mapping of int to mapping, optional
        What rows said in another currency, by their place in the file of `sales`.
    """
    items = sales.items
    kinds = list(book.kinds)
    own = _own_numbers(sales)
    dates = {name: _dates(getattr(sales, name)) for name in ("taken_in_on", "put_out_on")}
    money = {name: _minor(getattr(sales, name), decimals) for name in ("first_ticket", "ticket")}
    receipts, pieces = _column(sales, "receipt", ""), _column(sales, "quantity", "1")
    sold, price = _dates(sales.sold_on), _minor(sales.price, decimals)
    rows: list[PastRow] = []
    for row, place in enumerate(items.good):
        on, brought = sold[row], price[row]
        if on is None or brought is None:
            continue
        one = PastRow(
            int(whole[place]),
            own[row],
            kinds[items.readings.kinds[row]],
            items.readings.labels[row],
            items.sizes[row],
            items.notes[row],
            items.readings.choices(book, row),
            dates["taken_in_on"][row],
            dates["put_out_on"][row],
            on,
            money["first_ticket"][row],
            money["ticket"][row],
            brought,
            receipts[row],
            was.get(int(place), {}),
        )
        rows += _pieces(one, int(pieces[row]))
    return rows


def _pieces(row: PastRow, count: int) -> Iterator[PastRow]:
    """Part a row that sold several: each has its share of the price, one the number."""
    for piece, price in enumerate(in_pieces(row.price, count)):
        yield replace(row, price=price, piece=piece, item="" if piece else row.item)


def _column(sales: SaleFile, name: str, empty: str) -> list[str]:
    """Cells of a column of the good rows."""
    table = sales.items.table
    if name not in table.heading:
        return [empty] * len(sales.items.good)
    column = table.heading.index(name)
    return [table.rows[place][column].strip() or empty for place in sales.items.good]


def _own_numbers(sales: SaleFile) -> list[str]:
    """Numbers as the file gives them: a row without one is not called by its place."""
    table = sales.items.table
    if "item" not in table.heading:
        return [""] * len(sales.items.good)
    column = table.heading.index("item")
    return [
        name.upper() if table.rows[place][column].strip() else ""
        for name, place in zip(sales.items.items, sales.items.good, strict=True)
    ]


def _dates(days: Days) -> list[date | None]:
    found: list[Any] = days.astype("datetime64[D]").tolist()
    return found


def _minor(amounts: Array, decimals: int) -> list[int | None]:
    return list(_each_minor(amounts, 10**decimals))


def _each_minor(amounts: Array, unit: int) -> Iterator[int | None]:
    for amount in amounts.tolist():
        yield round(amount * unit) if np.isfinite(amount) else None
