"""When to ask how much: backward induction over price periods, for any demand.

In each period one price is asked; a sale happens with the chance that the demand gives, and what
is left goes on to the next period. The best price of the last period is plain; that of the one
before weighs a sale now against what the item is then worth; and so back to the start.

Nothing here knows a shop: the demand, the gain and the cost are handed in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array

STOP = -1

Choices = npt.NDArray[np.int32]


@dataclass(frozen=True)
class Period:
    """What each price means in one period.

    Attributes
    ----------
    chance : ndarray, shape (..., prices) or (..., prices + 1, prices)
        Chance that one is sold. The longer form depends on the last price asked (second last
        axis, in the order of the prices; its last entry is 'none asked yet').
    gain : ndarray, shape (..., prices)
        What a sale brings.
    cost : ndarray or float, like `chance`
        Expected cost of the period.
    unsold : callable, optional
        Where something is learned from not selling, leading axes hold what is believed, and this
        turns the worth of the next states, (..., states), into the worth of going on unsold at
        each price, like `chance`. Unless given, nothing is learned.
    """

    chance: Array
    gain: Array
    cost: Array | float = 0.0
    unsold: Callable[[Array], Array] | None = None


@dataclass(frozen=True)
class Schedule:
    """The best prices.

    Attributes
    ----------
    price : ndarray, shape (..., prices)
    worths : tuple of ndarray, one a period and one for the end, each (stock, ..., states)
        Expected net from there on, of 1, 2, .. items in stock.
    choices : tuple of ndarray, one a period, each of shape (stock, ..., states)
        Place of the best price, or `STOP`. States are the last price asked, 'none yet' last;
        one state where prices may rise again.
    """

    price: Array
    worths: tuple[Array, ...]
    choices: tuple[Choices, ...]

    @property
    def worth(self) -> Array:
        """Expected net at the start, shape (stock, ...)."""
        return self.worths[0][..., -1]

    def first(self, stock: int = 1) -> Array:
        """Price to ask at the start; NaN where it is better not to begin."""
        return self._priced(self.choices[0][stock - 1, ..., -1])

    def path(self) -> Array:
        """Prices of a single item for as long as it does not sell, shape (..., periods).

        NaN from the period on in which it is better to stop.
        """
        state = np.full(self.price.shape[:-1], self.choices[0].shape[-1] - 1)
        stopped = np.zeros(state.shape, dtype=bool)
        path = []
        for choices in self.choices:
            chosen = np.take_along_axis(choices[0], state[..., None], axis=-1)[..., 0]
            stopped |= chosen == STOP
            chosen = np.where(stopped, STOP, chosen)
            path.append(self._priced(chosen))
            if choices.shape[-1] > 1:
                state = np.where(stopped, state, chosen)
        return np.stack(path, axis=-1)

    def _priced(self, chosen: npt.NDArray[np.integer]) -> Array:
        taken = np.take_along_axis(self.price, np.maximum(chosen, 0)[..., None], axis=-1)
        return np.where(chosen == STOP, np.nan, taken[..., 0])


def best_prices(
    price: Array,
    demand: Callable[[int], Period],
    periods: int,
    *,
    end: float = 0.0,
    stock: int = 1,
    falling: bool = True,
    may_stop: bool = False,
    opening: npt.NDArray[np.bool_] | None = None,
) -> Schedule:
    """Find the prices with the highest expected net.

    V_t(k, j) = max over i of  c (g_i + V_t+1(k-1, i)) + (1 - c) V_t+1(k, i) - cost

    with k items left, j the last price asked, c the chance of a sale at price i.

    Parameters
    ----------
    price : ndarray, shape (..., prices)
        Prices to choose from, rising along the last axis; leading axes are separate items.
    demand : callable
        Gives the `Period` of a number from 0 to periods - 1.
    end : float
        Worth of each item that is left at the end.
    stock : int
        Items alike at the start; at most one sells in a period.
    falling : bool
        Whether no price may lie above the last one asked.
    may_stop : bool
        Whether selling may end early, for the same worth `end`.
    opening : ndarray of bool, shape (prices,) or as far as a period's worth, optional
        Prices allowed in the first period.

    Notes
    -----
    Exact over the prices given. Where many may sell in a period, cut it into short ones: the
    error then falls in proportion to their length.

    Examples
    --------
    A buyer's value lies anywhere from 0 to 1; one period, then the best price is one half.

    >>> import numpy as np
    >>> grid = np.linspace(0, 1, 101)
    >>> found = best_prices(grid, lambda period: Period(1 - grid, grid), periods=1)
    >>> float(found.first()), float(found.worth[0])
    (0.5, 0.25)
    """
    count = price.shape[-1]
    states = count + 1 if falling else 1
    left = np.arange(stock + 1.0).reshape(-1, *[1] * price.ndim) * end
    worth = np.broadcast_to(left, (stock + 1, *price.shape[:-1], states)).copy()
    worths, choices = [worth[1:].copy()], []
    for period in reversed(range(periods)):
        now = demand(period)
        chance, cost = _by_last(now.chance, price.ndim), _by_last(now.cost, price.ndim)
        after = worth[..., None, :count]
        unsold = after[1:] if now.unsold is None else now.unsold(worth[1:])
        total = chance * (now.gain[..., None, :] + after[:-1]) + (1 - chance) * unsold - cost
        if period == 0 and opening is not None:
            total = np.where(opening, total, -np.inf)
        best, choice = _best_allowed(total, states)
        if may_stop:
            choice = np.where(best < left[1:], STOP, choice)
            best = np.maximum(best, left[1:])
        worth[1:] = best
        worths.append(best)
        choices.append(choice.astype(np.int32))
    return Schedule(price, tuple(reversed(worths)), tuple(reversed(choices)))


def _by_last(values: Array | float, ndim: int) -> Array:
    """Give an array that does not depend on the last price an axis of one for it."""
    array = np.asarray(values, dtype=float)
    return array if array.ndim != ndim else array[..., None, :]


def _best_allowed(total: Array, states: int) -> tuple[Array, npt.NDArray[np.intp]]:
    """Best price from each state: all prices, or those not above the last one."""
    if states == 1:
        return total.max(axis=-1), total.argmax(axis=-1)
    count = total.shape[-1]
    if total.shape[-2] > 1:
        total = np.where(np.tri(states, count, dtype=bool), total, -np.inf)
        return total.max(axis=-1), total.argmax(axis=-1)
    row = total[..., 0, :]
    best = np.maximum.accumulate(row, axis=-1)
    choice = np.maximum.accumulate(np.where(row == best, np.arange(count), 0), axis=-1)
    # 'None asked yet' allows what the highest price allows.
    return (
        np.concatenate([best, best[..., -1:]], axis=-1),
        np.concatenate([choice, choice[..., -1:]], axis=-1),
    )
