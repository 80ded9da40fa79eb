"""What each thing was worth: draws that are right on average, in spread and in order."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import polygamma

from resale.selling.markdown.ageing import EDGES
from resale.selling.worth.each_thing import worth_of_hung, worth_of_sold
from resale.selling.worth.regression import Hung, SoldOnly, WorthModel

MODEL = WorthModel(np.array([3.0, 0.4]), 2.5, 0.6, 0.2, np.zeros(len(EDGES)))


def hung(count: int, seed: int) -> Hung:
    """Two periods of a fortnight each, by the model itself: a gamma factor a thing."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack([np.ones(count), rng.random(count) < 0.5])
    own = rng.gamma(1 / 0.6, 0.6, count)
    first = np.exp(MODEL.log_worth(columns) + rng.normal(0, 0.3, count))
    needed, rows = rng.exponential(size=count) / own, []
    live = np.arange(count)
    for age, mark in ((0.0, 1.0), (14.0, 0.7)):
        ticket = first[live] * mark
        above = np.log(ticket) - MODEL.log_worth(columns[live])
        rate = np.exp(MODEL.level - 2.5 * above)
        sold = needed[live] <= 14 * rate
        days = np.where(sold, np.maximum(needed[live] / rate, 1e-6), 14.0)
        rows.append((live, ticket, days, np.full(len(live), age), sold))
        needed[live] -= 14 * rate
        live = live[~sold]
    return Hung(
        columns,
        np.ones(count),
        *(np.concatenate(part) for part in zip(*rows, strict=True)),
    )


def test_draws_have_the_mean_and_the_spread_of_things() -> None:
    """Log of a gamma factor with variance 0.6 has variance trigamma(1/0.6), over b squared for
    worth. Four standard errors of 20,000 draws; ends are cut at a thousandth."""
    seen = hung(20_000, 1)
    chance = np.random.default_rng(2).random(20_000)
    off = worth_of_hung(MODEL, seen, chance) - MODEL.log_worth(seen.columns)
    spread = float(np.sqrt(polygamma(1, 1 / 0.6))) / 2.5
    assert off.mean() == pytest.approx(0.0, abs=4 * spread / np.sqrt(20_000))
    assert off.std() == pytest.approx(spread, rel=0.03)
    for sign in (0, 1):
        mine = off[seen.columns[:, 1] == sign]
        assert mine.mean() == pytest.approx(0.0, abs=4 * spread / np.sqrt(len(mine)))


def test_what_sold_at_once_was_worth_more_than_what_sold_late_or_never() -> None:
    columns = np.ones((4, 1))
    model = WorthModel(np.array([3.0]), 2.5, 0.6, 0.2, np.zeros(len(EDGES)))
    seen = Hung(
        columns,
        np.ones(4),
        np.arange(4),
        np.full(4, np.exp(3.0)),
        np.array([1.0, 28.0, 28.0, 200.0]),
        np.zeros(4),
        np.array([True, True, False, False]),
    )
    middle = worth_of_hung(model, seen, np.full(4, 0.5))
    assert (np.diff(middle) < 0).all()


def test_of_a_bare_sale_its_price_and_the_shortfall_count() -> None:
    bare = SoldOnly(np.ones((2, 2)), np.ones(2), np.array([10.0, 30.0]))
    assert np.exp(worth_of_sold(MODEL, bare)) == pytest.approx(np.array([10, 30]) * np.exp(0.2))
