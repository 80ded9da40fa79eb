"""The general solver against two published solutions and against every path tried."""

from itertools import product
from math import exp, factorial, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.selling.markdown.price_schedule import Period, best_prices


def returning_buyers(cells: int):
    """One value, uniform on 0 to 1, common to all buyers: whoever passed at the last price would
    pay less than it, so the chance of a sale depends on the last price."""
    price = np.arange(cells + 1) / cells
    last = np.append(price, 1.0)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        chance = np.where(last > 0, np.clip((last - price) / last, 0, 1), 0.0)
    return price, lambda period: Period(chance, price)


@pytest.mark.parametrize("periods", [1, 2, 3, 4, 5])
def test_lazear_1986_prices_fall_in_equal_steps(periods):
    """Lazear 1986, American Economic Review 76(1): value uniform on 0-1, buyers who return, no
    discounting. T periods: price 1 - k/(T+1), worth T/(2(T+1)); two periods ask 2/3, then 1/3.
    Sixty cells hold all these prices exactly, hence a tolerance of rounding only."""
    price, demand = returning_buyers(60)
    found = best_prices(price, demand, periods)
    expected = [1 - (k + 1) / (periods + 1) for k in range(periods)]
    assert found.path() == pytest.approx(expected, abs=1e-12)
    assert found.worth[0] == pytest.approx(periods / (2 * (periods + 1)), abs=1e-12)


def closed_form(stock: int, sales: float) -> float:
    """J(n, t) = log sum_{i=0..n} (a t / e)^i / i!."""
    return log(sum((sales / exp(1)) ** i / factorial(i) for i in range(stock + 1)))


def run_of_short_periods(stock: int, sales: float, periods: int):
    price = np.arange(0.9, 6.0, 0.004)
    chance = -np.expm1(-sales / periods * np.exp(-price))
    return best_prices(
        price, lambda period: Period(chance, price), periods, stock=stock, falling=False
    )


# (items, expected comers a t) -> worth, first price.
GALLEGO_VAN_RYZIN = {
    (1, 1): (0.3133, 1.3133),
    (1, 10): (1.5430, 2.5430),
    (2, 10): (2.4376, 1.8946),
    (5, 10): (3.4962, 1.1866),
    (10, 10): (3.6773, 1.0032),
    (1, 40): (2.7546, 3.7546),
    (20, 40): (14.6409, 1.0417),
}


@pytest.mark.parametrize(("stock", "sales"), list(GALLEGO_VAN_RYZIN))
def test_gallego_and_van_ryzin_1994_closed_form(stock, sales):
    """Gallego and van Ryzin 1994, Management Science 40(8): demand a exp(-p), n items, time t.

    The solver cuts time into short periods with one sale each at most; that error halves with
    the period, so twice the finer answer less the coarser one leaves its square. Worth within
    0.0005; the price within a grid step and what the short period shifts, 0.01."""
    worth, first = GALLEGO_VAN_RYZIN[stock, sales]
    coarse, fine = (run_of_short_periods(stock, sales, n) for n in (800, 1600))
    assert closed_form(stock, sales) == pytest.approx(worth, abs=5e-5)
    assert 2 * fine.worth[-1] - coarse.worth[-1] == pytest.approx(worth, abs=5e-4)
    assert fine.first(stock) == pytest.approx(first, abs=0.01)


def test_the_price_falls_with_stock_and_with_time_gone():
    found = run_of_short_periods(5, 10.0, 200)
    firsts = [float(found.first(stock)) for stock in range(1, 6)]
    assert firsts == sorted(firsts, reverse=True)
    later = [found.price[choice[0, 0]] for choice in found.choices]
    assert (np.diff(later) <= 1e-12).all()


def worth_of_path(path, chance, price, cost, end):
    value = end
    for t, i in reversed(list(enumerate(path))):
        value = chance[t, i] * price[i] + (1 - chance[t, i]) * value - cost[t, i]
    return value


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.booleans())
def test_no_falling_path_tried_by_hand_is_better(seed, may_stop):
    rng = np.random.default_rng(seed)
    price = np.sort(rng.uniform(1, 20, 5))
    chance, cost = rng.uniform(0, 1, (3, 5)), rng.uniform(0, 2, (3, 5))
    end = rng.uniform(0, 5)
    found = best_prices(
        price, lambda t: Period(chance[t], price, cost[t]), 3, end=end, may_stop=may_stop
    )
    paths = [
        path
        for length in (range(4) if may_stop else [3])
        for path in product(range(5), repeat=length)
        if list(path) == sorted(path, reverse=True)
    ]
    best = max(worth_of_path(path, chance, price, cost, end) for path in paths)
    assert found.worth[0] == pytest.approx(best, abs=1e-12)
    asked = found.path()
    kept = asked[~np.isnan(asked)]
    assert (np.diff(kept) <= 0).all()
    indices = [int(np.argmin(abs(price - one))) for one in kept]
    assert worth_of_path(indices, chance, price, cost, end) == pytest.approx(best, abs=1e-12)


def test_many_items_at_once_are_solved_as_one_by_one():
    rng = np.random.default_rng(3)
    price = np.sort(rng.uniform(1, 20, (7, 6)), axis=-1)
    chance = rng.uniform(0, 1, (4, 7, 6))
    together = best_prices(price, lambda t: Period(chance[t], price), 4, end=0.5)
    for item in range(7):
        alone = best_prices(
            price[item], lambda t, i=item: Period(chance[t, i], price[i]), 4, end=0.5
        )
        assert together.path()[item].tolist() == alone.path().tolist()
        assert together.worth[0, item] == alone.worth[0]


def test_the_opening_price_can_be_forced():
    price = np.array([5.0, 10.0])
    chance = np.array([0.9, 0.1])
    found = best_prices(price, lambda t: Period(chance, price), 2, opening=np.array([False, True]))
    assert found.path().tolist() == [10.0, 5.0]
