"""Files of sales: items with what they brought, and when."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from resale.errors import ItemFileError, ReadingError
from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.storage.imports.items.item_columns import Columns
from resale.storage.imports.items.item_files import ItemFile, items_of
from resale.storage.imports.tables.table_files import Table

Days = npt.NDArray[np.datetime64]

DATES = ("taken_in_on", "put_out_on", "sold_on")
AMOUNTS = ("first_ticket", "ticket", "price")
NEEDED = ("sold_on", "price")
HIGHEST_PRICE = 1_000_000.0
_AMOUNT = re.compile(r"(\d{1,9})(?:[.,](\d+))?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True)
class SaleFile:
    """A file of sales as read; arrays follow the good rows of `items`.

    Attributes
    ----------
    items : ItemFile
        Its readings carry the season of each sale.
    price : ndarray, shape (n,)
        What each brought, above 0, in the shop's currency.
    sold_on, put_out_on, taken_in_on : ndarray of datetime64[D], shape (n,)
        NaT where the file does not say; `sold_on` always does.
    first_ticket, ticket : ndarray, shape (n,)
        Price on the first and on the last ticket; NaN where the file does not say.
    """

    items: ItemFile
    price: Array
    sold_on: Days
    put_out_on: Days
    taken_in_on: Days
    first_ticket: Array
    ticket: Array


def read_amount(text: str) -> float:
    """Read an amount above 0.

    Raises
    ------
    ReadingError
        If it is none, or a comma or point could part thousands as well as cents.

    Examples
    --------
    >>> read_amount("12.50"), read_amount("12,5"), read_amount("1250")
    (12.5, 12.5, 1250.0)
    """
    found = _AMOUNT.fullmatch(text.strip())
    if found is None:
        what = f"{text.strip()[:40]!r} is not an amount" if text.strip() else "no amount is given"
        raise ReadingError(what, remedy="write it like 12.50, without the currency")
    whole, part = found[1], found[2] or ""
    if len(part) == 3:
        raise ReadingError(
            f"{text.strip()} could be {whole}{part} or {whole}.{part}",
            remedy="write it with two decimals or with none",
        )
    amount = float(f"{whole}.{part or 0}")
    if not 0 < amount <= HIGHEST_PRICE:
        raise ReadingError(
            f"{text.strip()} is not above 0 and up to {HIGHEST_PRICE:,.0f}",
            remedy="look at the amount",
        )
    return amount


def read_day(text: str) -> np.datetime64:
    """Read a date written year first.

    Raises
    ------
    ReadingError
        If it is not one.
    """
    word = text.strip()
    try:
        if _DAY.fullmatch(word):
            return np.datetime64(dt.date.fromisoformat(word))
    except ValueError:
        pass
    raise ReadingError(
        f"{word[:40]!r} is not a date" if word else "no date is given",
        remedy="write year, month and day like 2026-03-31",
    )


def sales_of(table: Table, book: RuleBook) -> SaleFile:
    """Turn a table with our headings into sales.

    Parameters
    ----------
    table : Table
    book : RuleBook

    Returns
    -------
    SaleFile
        The good rows, and the problems of the others.

    Raises
    ------
    ItemFileError
        If a column that a sale needs is missing.
    """
    for name in NEEDED:
        if name not in table.heading:
            raise ItemFileError(
                f"the column {name} is missing", where=table.name, remedy="add it to every sale"
            )
    found: dict[str, npt.NDArray[Any]] = {}

    def read_more(columns: Columns) -> None:
        for name in AMOUNTS:
            found[name] = _column(columns, name, read_amount, np.nan).astype(float)
        for name in DATES:
            none = np.datetime64("NaT", "D")
            found[name] = _column(columns, name, read_day, none).astype("datetime64[D]")
        _check_order(columns, found)
        found["place"] = columns.whole

    items = items_of(table, book, read_more)
    placed = np.searchsorted(found.pop("place"), items.good)
    values = {name: values[placed] for name, values in found.items()}
    months = values["sold_on"].astype("datetime64[M]").astype(int) % 12 + 1
    seasons = seasons_of(book, items.readings, months.tolist())
    dated = replace(items, readings=replace(items.readings, seasons=seasons))
    return SaleFile(dated, **values)


def _column(columns: Columns, name: str, reader: Any, missing: Any) -> npt.NDArray[Any]:
    def read(text: str) -> Any:
        return reader(text) if text.strip() or name in NEEDED else missing

    return columns.read(name, read, missing)


def _check_order(columns: Columns, found: dict[str, npt.NDArray[Any]]) -> None:
    for earlier, later in (
        ("taken_in_on", "put_out_on"),
        ("put_out_on", "sold_on"),
        ("taken_in_on", "sold_on"),
    ):
        fault = ReadingError(f"the day is before {earlier}", remedy="look at both dates")
        columns.refuse(later, np.flatnonzero(found[later] < found[earlier]), fault)
