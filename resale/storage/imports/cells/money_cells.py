"""What rows of a file brought, in the shop's money: currencies turned, pieces counted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

import numpy as np
import numpy.typing as npt

from resale.errors import ReadingError
from resale.money import Money
from resale.storage.imports.cells.amounts import (
    AmountStyle,
    Mark,
    currency_in,
    currency_named,
    read_messy_amount,
)
from resale.storage.imports.items.item_columns import Columns, Values
from resale.storage.imports.past.rates import Rates

MOST_PIECES = 1_000
_EACH_OR_ALL = ReadingError(
    "several pieces, and the heading does not say whether this is the price of each or of all",
    remedy="take the column for price_each, the price of each piece, or for price, that of the row",
)
_COUNT = re.compile(r"(\d{1,4})(?:[.,]0+)?", re.ASCII)


@dataclass(frozen=True)
class MoneyCells:
    """Amounts of the rows of a file.

    Attributes
    ----------
    amounts : mapping of str to ndarray of str
        By our column, in the shop's money; empty where a row says none.
    quantity : ndarray of int or None
        Pieces of each row; None where the file does not say.
    was : mapping of int to mapping
        What a row said in another currency, and the rate that it was turned at.
    """

    amounts: Mapping[str, Values]
    quantity: Values | None
    was: Mapping[int, Mapping[str, str]] = field(default_factory=dict)


@dataclass
class MoneyReader:
    """Reads the amounts of a table.

    Attributes
    ----------
    headings : mapping of str to str
        Heading in the file by our column.
    decimal : {".", ","} or None
        What the user said stands before the cents.
    days : ndarray of (date or None)
        Day of each row, by which other currencies are turned.
    either : str
        Heading of a price of which nobody knows whether it is that of each piece or of all.
    """

    columns: Columns
    headings: Mapping[str, str]
    money: Money
    decimal: Mark | None
    rates: Rates
    days: Values
    either: str = ""

    def read(self, wanted: tuple[str, ...]) -> MoneyCells:
        """Read these columns of ours, as far as the file has them."""
        currencies = self._currencies()
        was: dict[int, dict[str, str]] = {}
        found = {
            name: self._amounts(self.headings[name], currencies, was)
            for name in (*wanted, "price_each")
            if name in self.headings
        }
        quantity = self._quantity()
        if self.either and quantity is not None:
            self.columns.refuse(self.either, np.flatnonzero(quantity > 1), _EACH_OR_ALL)
        if "price_each" in found and "price" in wanted:
            pieces = np.ones(len(self.columns), int) if quantity is None else quantity
            each = found.pop("price_each")
            total = np.array(
                [
                    None if one is None else one * int(n)
                    for one, n in zip(each, pieces, strict=True)
                ],
                dtype=object,
            )
            price = found.get("price", np.full(len(total), None, dtype=object))
            empty = np.array([one is None for one in price], dtype=bool)
            found["price"] = np.where(empty, total, price)
        found.pop("price_each", None)
        texts = {name: _texts(values) for name, values in found.items()}
        return MoneyCells(texts, quantity, was)

    def _currencies(self) -> Values:
        """Code of each row's currency, as a column of its own says."""
        own = self.money.currency
        if "currency" not in self.headings:
            return np.full(len(self.columns), own, dtype=object)

        def read(text: str) -> str:
            code = currency_named(text, self.money) if text.strip() else own
            if code is None:
                raise ReadingError(
                    f"{text.strip()[:20]!r} is no currency", remedy="write its code, such as EUR"
                )
            return code

        return self.columns.read(self.headings["currency"], read, own)

    def _amounts(self, heading: str, currencies: Values, was: dict[int, dict[str, str]]) -> Values:
        cells = self.columns.apart(heading)
        marks = np.array([currency_in(text, self.money) for text in cells.texts], dtype=object)
        marked = marks[cells.codes]
        codes = np.array(
            [mark or code for mark, code in zip(marked, currencies, strict=True)], dtype=object
        )
        found: Values = np.full(len(self.columns), None, dtype=object)
        for code in dict.fromkeys(codes):
            rows = codes == code
            money = Money(code, self.money.locale)
            texts = [cells.texts[place] for place in np.unique(cells.codes[rows])]
            style = AmountStyle.of(texts, money, self.decimal)
            read = self.columns.read(heading, _amount_or_none(style), None, rows)
            if code != self.money.currency:
                read = self._turned(read, heading, code, rows, was)
            found[rows] = read[rows]
        return found

    def _turned(
        self,
        amounts: Values,
        heading: str,
        code: str,
        rows: npt.NDArray[np.bool_],
        was: dict[int, dict[str, str]],
    ) -> Values:
        """Turn amounts into the shop's money at the rate that its owner stated for their day."""
        turned: Values = np.full(len(amounts), None, dtype=object)
        without = []
        for row in np.flatnonzero(rows):
            amount, day = amounts[row], self.days[row]
            rate = self.rates.at(code, day) if isinstance(day, date) else None
            if amount is None:
                continue
            if rate is None:
                without.append(row)
                continue
            turned[row] = _rounded(amount * rate, self.money)
            was[int(row)] = {"amount": f"{amount:f}", "currency": code, "rate": f"{rate:f}"}
        own = self.money.currency
        fault = ReadingError(
            f"the amount is in {code}, the shop counts in {own}, and no rate is stated for its day",
            remedy=f"say what 1 {code} is worth in {own}, or change the amount",
        )
        self.columns.refuse(heading, np.array(without, dtype=np.intp), fault)
        return turned

    def _quantity(self) -> Values | None:
        if "quantity" not in self.headings:
            return None
        return self.columns.read(self.headings["quantity"], read_quantity, 1)


def read_quantity(text: str) -> int:
    """Read how many pieces a row sold; nothing is one.

    Raises
    ------
    ReadingError
        If it is no whole number from 1 on, or more than one row sells.
    """
    plain = text.strip()
    if not plain:
        return 1
    found = _COUNT.fullmatch(plain)
    if found is None or not 1 <= int(found[1]) <= MOST_PIECES:
        raise ReadingError(
            f"{plain[:20]!r} is no number of pieces",
            remedy="write how many were sold, and leave returns out of a file of sales",
        )
    return int(found[1])


def in_pieces(total: int, pieces: int) -> list[int]:
    """Share a row's price among its pieces, to the unit: the first get what is left over.

    Parameters
    ----------
    total : int
        Minor units.
    pieces : int
        1 or more.

    Returns
    -------
    list of int
        Minor units; their sum is `total`.

    Examples
    --------
    >>> in_pieces(1000, 3)
    [334, 333, 333]
    """
    each, over = divmod(total, pieces)
    return [each + (place < over) for place in range(pieces)]


def _amount_or_none(style: AmountStyle) -> Any:
    return lambda text: read_messy_amount(text, style) if text.strip() else None


def _rounded(amount: Decimal, money: Money) -> Decimal:
    return amount.quantize(Decimal(1).scaleb(-money.decimals), ROUND_HALF_EVEN)


def _texts(values: Values) -> Values:
    return np.array(["" if one is None else f"{one:f}" for one in values], dtype=object)
