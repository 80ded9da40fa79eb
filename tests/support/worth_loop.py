"""A shop that learns from itself, quarter after quarter, before buyers who never change.

The truth is harsher than the model: things differ by a normal factor of their own and not by a
gamma, the rate falls with age by days and not by classes, tickets scatter about the estimate,
buyers see other things than the sorter, and the shop marks down by habit.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import brentq

from resale.selling.worth.regression import Hung, WorthModel, WorthOpinion, learn_worth

MARKS = (0.0, 0.25, 0.5, 0.5)
PERIOD = 14.0
SHARE, RAIL, PASS_ON = 0.5, 0.03, 0.5
HALF_LIFE = 4.0


@dataclass(frozen=True)
class Buyers:
    """What buyers do, and do for ever.

    Attributes
    ----------
    effect : ndarray, shape (p,)
        Of the columns on log worth; the first is the level.
    elasticity, unevenness, halving : float
        Percent of rate for a percent of ticket; standard deviation (log) of what they see beside
        the columns; days after which a thing draws half as many looks (None: never).
    """

    effect: np.ndarray
    elasticity: float = 2.2
    unevenness: float = 0.35
    halving: float | None = 40.0

    def hazard(self, start: np.ndarray, days: np.ndarray) -> np.ndarray:
        """Looks between two ages, in days of a fresh thing."""
        if self.halving is None:
            return days
        fall = np.log(2) / self.halving
        return (np.exp(-fall * start) - np.exp(-fall * (start + days))) / fall

    @property
    def rate(self) -> float:
        """Looks that make half of all things sell in 28 days at exp(columns · effect)."""
        node, weight = np.polynomial.hermite_e.hermegauss(31)
        own = np.exp(self.elasticity * self.unevenness * node)
        looks = self.hazard(np.zeros(1), np.full(1, 28.0))[0]

        def unsold(log_rate: float) -> float:
            return float(np.exp(-own * np.exp(log_rate) * looks) @ weight / weight.sum()) - 0.5

        return float(np.exp(brentq(unsold, -12, 4)))


@dataclass
class Shop:
    """What a shop has seen so far."""

    columns: list[np.ndarray] = field(default_factory=list)
    rows: list[tuple[np.ndarray, ...]] = field(default_factory=list)
    prices: list[tuple[np.ndarray, np.ndarray]] = field(default_factory=list)

    def seen(self) -> Hung:
        """All periods so far; those of a year ago count half."""
        count = [len(part) for part in self.columns]
        first = np.cumsum([0, *count[:-1]])
        age = np.arange(len(count))[::-1]
        weight = np.repeat(0.5 ** (age / HALF_LIFE), count)
        thing = np.concatenate([row[0] + at for row, at in zip(self.rows, first, strict=True)])
        rest = (np.concatenate(part) for part in list(zip(*self.rows, strict=True))[1:])
        return Hung(np.vstack(self.columns), weight, thing, *rest)


def some_columns(rng: np.random.Generator, things: int, signs: int) -> np.ndarray:
    """Draw the level and signs that half or fewer of the things have."""
    share = np.linspace(0.15, 0.5, signs)
    return np.hstack([np.ones((things, 1)), rng.random((things, signs)) < share]).astype(float)


def quarter(
    rng: np.random.Generator, buyers: Buyers, columns: np.ndarray, estimate: np.ndarray, shop: Shop
) -> float:
    """Hang things at their estimates, give or take a tenth; returns the net for each (money)."""
    things = len(columns)
    own = columns @ buyers.effect + rng.normal(0, buyers.unevenness, things)
    first = estimate * np.exp(rng.normal(0, 0.1, things))
    needed, gone = rng.exponential(size=things) / buyers.rate, np.zeros(things, bool)
    net, rows, sold_at = np.zeros(things), [], np.full(things, np.nan)
    for period, mark in enumerate(MARKS):
        ticket, start = first * (1 - mark), np.full(things, period * PERIOD)
        pull = np.exp(-buyers.elasticity * (np.log(ticket) - own))
        looks = pull * buyers.hazard(start, np.full(things, PERIOD))
        live = np.flatnonzero(~gone)
        sells = needed[live] <= looks[live]
        # The day of the sale within the period, as a till would have it: in proportion.
        days = np.where(sells, PERIOD * np.clip(needed[live] / looks[live], 0.03, 1), PERIOD)
        net[live] += np.where(sells, SHARE * ticket[live], 0.0) - RAIL * days
        sold_at[live[sells]] = ticket[live[sells]]
        rows.append((live, ticket[live], days, start[live], sells))
        needed[live] -= looks[live]
        gone[live[sells]] = True
    net[~gone] += PASS_ON
    shop.columns.append(columns)
    shop.rows.append(tuple(np.concatenate(part) for part in zip(*rows, strict=True)))
    shop.prices.append((columns[gone], sold_at[gone]))
    return float(net.mean())


@dataclass(frozen=True)
class Year:
    """What came of it, quarter by quarter.

    Attributes
    ----------
    estimate : ndarray, shape (quarters,)
        Geometric mean of estimates over true worths.
    spread : ndarray, shape (quarters,)
        Root mean square of log estimate less log worth.
    net : ndarray, shape (quarters,)
        For each thing, over what tickets at the true worth would have brought then.
    model : WorthModel
    """

    estimate: np.ndarray
    spread: np.ndarray
    net: np.ndarray
    model: WorthModel


def run_loop(
    buyers: Buyers,
    opinion: WorthOpinion,
    *,
    seed: int,
    things: int = 400,
    quarters: int = 12,
    by_sales_alone: bool = False,
) -> Year:
    """Let a shop ask what it estimates and learn from what comes of it."""
    rng, shop, model, effect = np.random.default_rng(seed), Shop(), None, opinion.effect
    off, spread, net = [], [], []
    for number in range(quarters):
        columns = some_columns(rng, things, len(effect) - 1)
        away = columns @ (effect - buyers.effect)
        off.append(np.exp(away.mean()))
        spread.append(np.sqrt((away**2).mean()))
        luck = np.random.default_rng((seed, number))
        got = quarter(luck, buyers, columns, np.exp(columns @ effect), shop)
        luck = np.random.default_rng((seed, number))
        at_worth = quarter(luck, buyers, columns, np.exp(columns @ buyers.effect), Shop())
        net.append(got / at_worth)
        model = learn_worth(shop.seen(), None, opinion)
        effect = _ridge(shop, opinion) if by_sales_alone else model.effect
    assert model is not None
    return Year(np.array(off), np.array(spread), np.array(net), model)


def _ridge(shop: Shop, opinion: WorthOpinion) -> np.ndarray:
    """What sale prices alone would teach: the shop's way before worth was learned."""
    age = np.arange(len(shop.prices))[::-1]
    weight = np.repeat(0.5 ** (age / HALF_LIFE), [len(price) for _, price in shop.prices])
    columns = np.vstack([columns for columns, _ in shop.prices])
    left = np.log(np.concatenate([price for _, price in shop.prices])) - columns @ opinion.effect
    precision = columns.T @ (weight[:, None] * columns) / 0.35**2 + np.diag(opinion.doubt**-2.0)
    return opinion.effect + np.linalg.solve(precision, columns.T @ (weight * left) / 0.35**2)
