"""One past sale as it will be written, and the key that tells whether it was written before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.terms import Array
from resale.storage.imports.sale_files import Days, SaleFile
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

    @property
    def key(self) -> str:
        """The same for the same sale, however its file writes dates, amounts and words."""
        days = (self.taken_in_on, self.put_out_on, self.sold_on)
        money = (self.first_ticket, self.ticket, self.price)
        line = (self.item, self.kind, self.label, self.size, self.note)
        chosen = (f"{signal}={option}" for signal, option in sorted(self.choices.items()))
        return event_key("past sale", *line, *map(str, days), *map(str, money), *chosen)


def past_rows(sales: SaleFile, whole: np.ndarray, book: RuleBook, decimals: int) -> list[PastRow]:
    """Turn the good rows of a file into past sales.

    Parameters
    ----------
    whole : ndarray of int
        Place in the shop's own file of each row of the file that `sales` was read from.
    """
    items = sales.items
    kinds = list(book.kinds)
    own = _own_numbers(sales)
    dates = {name: _dates(getattr(sales, name)) for name in ("taken_in_on", "put_out_on")}
    money = {name: _minor(getattr(sales, name), decimals) for name in ("first_ticket", "ticket")}
    sold, price = _dates(sales.sold_on), _minor(sales.price, decimals)
    rows = []
    for row, place in enumerate(items.good):
        on, brought = sold[row], price[row]
        if on is None or brought is None:
            continue
        rows.append(
            PastRow(
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
            )
        )
    return rows


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
