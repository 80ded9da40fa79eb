"""What happened to the items that sold: price, first ticket, and the days in between."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt
from stock import NO_LABEL, Stock
from streams import stream
from truth import NOISE, Truth

Array = npt.NDArray[np.float64]
Days = npt.NDArray[np.datetime64]

FIRST_DAY, LAST_DAY = date(2024, 11, 1), date(2026, 10, 31)
LEAST_STEP = 0.50
SLOWING = 0.7
LONGEST_ON_RAIL, LONGEST_IN_BACK_ROOM = 150, 30
SATURDAY, SUNDAY = 5, 6


@dataclass(frozen=True)
class Sales:
    """Dates and money of the sold items of one kind, each of shape (n,)."""

    taken_in: Days
    put_out: Days
    sold: Days
    first_ticket: Array
    price: Array


def standing(truth: Truth, stock: Stock) -> Array:
    """Log of how far each item stands above an average one, seen or not seen."""
    total = truth.standing(stock.kind, stock.codes, stock.make)
    return total + np.where(stock.maker == NO_LABEL, 0.0, truth.makers.effect[stock.maker])


def sell(truth: Truth, stock: Stock) -> Sales:
    """Sell every item once, within the two years."""
    chance = stream("sale", stock.kind.id)
    count = len(stock.maker)
    sold = _sale_days(chance.random(count))
    day_of_year = (sold - sold.astype("datetime64[Y]")).astype(float) + 1
    log_price = np.log(truth.anchor[stock.kind.id]) + standing(truth, stock)
    log_price += (
        truth.level(sold) + truth.season(day_of_year) + NOISE * chance.standard_normal(count)
    )
    price = _rounded(np.exp(log_price))
    marked_down = np.maximum(0.0, 0.10 + 0.15 * chance.standard_normal(count))
    # What had to be marked down had hung longer; and the longer a thing hangs, the slower it sells:
    # days are Weibull with a falling rate.
    on_rail = 16 * np.exp(3.5 * marked_down) * (-np.log1p(-chance.random(count))) ** (1 / SLOWING)
    put_out = _open_day(sold - _whole_days(on_rail, LONGEST_ON_RAIL))
    in_back_room = -5 * np.log1p(-chance.random(count))
    taken_in = _open_day(put_out - _whole_days(in_back_room, LONGEST_IN_BACK_ROOM))
    return Sales(taken_in, put_out, sold, _rounded(price * np.exp(marked_down)), price)


def _sale_days(chance: Array) -> Days:
    """Closed on Sunday, twice as busy on Saturday."""
    days = np.arange(np.datetime64(FIRST_DAY), np.datetime64(LAST_DAY) + 1)
    weekday = _weekday(days)
    busy = np.where(weekday == SUNDAY, 0.0, np.where(weekday == SATURDAY, 2.0, 1.0))
    return np.asarray(days[np.searchsorted(np.cumsum(busy) / busy.sum(), chance, side="right")])


def _open_day(days: Days) -> Days:
    return np.asarray(days - (_weekday(days) == SUNDAY))


def _weekday(days: Days) -> npt.NDArray[np.int64]:
    # 1970-01-01, day 0, was a Thursday.
    return (days.astype("datetime64[D]").astype(np.int64) + 3) % 7


def _whole_days(length: Array, longest: int) -> npt.NDArray[np.int64]:
    return np.minimum(np.rint(length), longest).astype(np.int64)


def _rounded(money: Array) -> Array:
    return np.maximum(np.rint(money / LEAST_STEP) * LEAST_STEP, LEAST_STEP)
