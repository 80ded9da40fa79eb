"""Worth as a regression: the columns of things enter their worth, all price periods speak.

    log rate = c - b (log ticket - log worth) + effect of age
    log worth = columns · effects

with c the rate at which half sell in the usual time (see `definition`), so that nothing but the
definition fixes the level. Every period of every thing counts, whether it ended in a sale or not,
with a gamma factor of a thing's own on its rate: what the columns do not know. Sale prices from
files that hold no periods join with a selection term: what sold, sold at a mark below its worth,

    log price = log worth - shortfall + noise.

This knows nothing of clothes. Found by L-BFGS (Liu and Nocedal 1989, Mathematical Programming 45,
503-528, from memory) through SciPy, in units of the opinions' own doubts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.ageing import EDGES, prior_of_age, split_by_age
from resale.selling.markdown.demand import LEAST_ELASTICITY
from resale.selling.markdown.frailty import SERIES_BELOW, STEEPEST
from resale.selling.worth.definition import log_rate_at_worth, slopes_at_worth

_AGES = len(EDGES)
# Above so great an unevenness its logarithm climbs without end.
_LOG_UNEVENNESS = (np.log(1e-3), np.log(20.0))


@dataclass(frozen=True)
class WorthOpinion:
    """What is believed before any period was seen.

    Attributes
    ----------
    effect, doubt : ndarray, shape (p,)
        Effects of the columns on log worth, and standard deviations of that opinion (above 0).
    elasticity, elasticity_doubt : float
        By how many percent the rate falls for each percent on the ticket.
    slowing, slowing_doubt, age_step : float
        See `resale.selling.markdown.ageing.prior_of_age`.
    unevenness, unevenness_doubt : float
        Variance of things' own factors on the rate; standard deviation of that opinion's log.
    shortfall, shortfall_doubt : float
        By how much (log) a sale price lies below worth where only sales are known. It begins at 0,
        so that prices do not jump on the day on which the first thing is put out, and grows as
        things hung say more. Common practice, no source.
    noise : float
        Standard deviation of such a log price about its worth less the shortfall.
    """

    effect: Array
    doubt: Array
    elasticity: float = 2.5
    elasticity_doubt: float = 0.5
    slowing: float = 0.0
    slowing_doubt: float = 0.5
    age_step: float = 0.4
    unevenness: float = 0.6
    unevenness_doubt: float = 0.5
    shortfall: float = 0.0
    shortfall_doubt: float = 0.2
    noise: float = 0.35


@dataclass(frozen=True)
class Hung:
    """Things that hung at known tickets; rows are price periods.

    Attributes
    ----------
    columns : ndarray, shape (things, p)
    weight : ndarray, shape (things,)
        How much each counts (older ones less).
    thing : ndarray of int, shape (rows,)
        Which thing a period is of.
    ticket, days, age : ndarray, shape (rows,)
        Price asked (money), days at it (above 0), days hung before.
    sold : ndarray of bool, shape (rows,)
    """

    columns: Array
    weight: Array
    thing: npt.NDArray[np.intp]
    ticket: Array
    days: Array
    age: Array
    sold: npt.NDArray[np.bool_]


@dataclass(frozen=True)
class SoldOnly:
    """Sales of which no price period is known.

    Attributes
    ----------
    columns : ndarray, shape (sales, p)
    weight, price : ndarray, shape (sales,)
    """

    columns: Array
    weight: Array
    price: Array


@dataclass(frozen=True)
class WorthModel:
    """What was learned of worth.

    Attributes
    ----------
    effect : ndarray, shape (p,)
    elasticity, unevenness, shortfall : float
    ageing : ndarray, shape (classes of age,)
    """

    effect: Array
    elasticity: float
    unevenness: float
    shortfall: float
    ageing: Array

    def log_worth(self, columns: Array) -> Array:
        """Log of the ticket at which half would sell in the usual time, shape (n,)."""
        return np.asarray(columns @ self.effect)

    @property
    def level(self) -> float:
        """Log rate of a thing whose ticket is its worth."""
        return log_rate_at_worth(self.unevenness, self.ageing)


def learn_worth(hung: Hung, sold_only: SoldOnly | None, opinion: WorthOpinion) -> WorthModel:
    """Learn what things are worth from all that hung, and from bare sales.

    Parameters
    ----------
    hung : Hung
        May hold nothing.
    sold_only : SoldOnly, optional
    opinion : WorthOpinion
        With nothing seen it is returned as it is.

    Returns
    -------
    WorthModel
    """
    programme = _Likelihood.of(hung, sold_only, opinion)
    found = scipy.optimize.minimize(
        programme.downhill,
        np.zeros(len(programme.middle)),
        jac=True,
        method="L-BFGS-B",
        bounds=programme.bounds(),
        options={"maxiter": 2000, "maxfun": 4000, "ftol": 1e-12, "gtol": 1e-6},
    )
    return programme.model(programme.middle + programme.root @ found.x)


@dataclass(frozen=True)
class _Likelihood:
    """Minus log posterior in whitened parameters: effects, b, ages, log v, shortfall."""

    hung: Hung
    sold_only: SoldOnly | None
    opinion: WorthOpinion
    middle: Array
    root: Array
    row: npt.NDArray[np.intp]
    days: Array
    place: npt.NDArray[np.intp]
    event: Array

    @classmethod
    def of(cls, hung: Hung, sold_only: SoldOnly | None, opinion: WorthOpinion) -> _Likelihood:
        ages, covariance = prior_of_age(opinion.slowing, opinion.slowing_doubt, opinion.age_step)
        row, days, place, last = split_by_age(hung.age, hung.days)
        log_v = np.log(opinion.unevenness)
        middle = np.concatenate(
            [opinion.effect, [opinion.elasticity], ages, [log_v, opinion.shortfall]]
        )
        doubt = [opinion.elasticity_doubt, opinion.unevenness_doubt, opinion.shortfall_doubt]
        many = len(opinion.effect)
        root = np.zeros((len(middle), len(middle)))
        root[np.arange(many), np.arange(many)] = opinion.doubt
        root[many, many], root[-2, -2], root[-1, -1] = doubt
        root[many + 1 : -2, many + 1 : -2] = np.linalg.cholesky(covariance)
        event = hung.sold[row] * last.astype(float)
        return cls(hung, sold_only, opinion, middle, root, row, days, place, event)

    def bounds(self) -> list[tuple[float | None, float | None]]:
        """Keep the elasticity above its least, and the unevenness within sense."""
        limits: list[tuple[float | None, float | None]] = [(None, None)] * len(self.middle)
        many = len(self.opinion.effect)
        if self.opinion.elasticity_doubt:
            least = (LEAST_ELASTICITY - self.middle[many]) / self.opinion.elasticity_doubt
            limits[many] = (float(least), None)
        if self.opinion.unevenness_doubt:
            low, high = (
                float((end - self.middle[-2]) / self.opinion.unevenness_doubt)
                for end in _LOG_UNEVENNESS
            )
            limits[-2] = (low, high)
        return limits

    def model(self, at: Array) -> WorthModel:
        many = len(self.opinion.effect)
        return WorthModel(
            at[:many], float(at[many]), float(np.exp(at[-2])), float(at[-1]), at[many + 1 : -2]
        )

    def downhill(self, white: Array) -> tuple[float, Array]:
        model = self.model(self.middle + self.root @ white)
        height, slope = self._periods(model)
        if self.sold_only is not None and len(self.sold_only.price):
            more, rise = self._bare_sales(model, self.sold_only)
            height, slope = height + more, slope + rise
        return float(white @ white / 2 - height), white - self.root.T @ slope

    def _periods(self, model: WorthModel) -> tuple[float, Array]:
        """Log likelihood of the price periods, and its slope in all parameters."""
        hung, v, b = self.hung, model.unevenness, model.elasticity
        thing = hung.thing[self.row]
        above = np.log(hung.ticket[self.row]) - model.log_worth(hung.columns)[thing]
        log_rate = np.minimum(model.level - b * above + model.ageing[self.place], STEEPEST)
        part, count = self.days * np.exp(log_rate), len(hung.weight)
        hazard = np.bincount(thing, part, count)
        event = np.bincount(thing, self.event, count)
        log = np.log1p(v * hazard)
        each = np.bincount(thing, self.event * log_rate, count) - event * log - log / v
        factor = (1 + event * v) / (1 + v * hazard)
        pull = hung.weight[thing] * (self.event - factor[thing] * part)
        if v < SERIES_BELOW:
            bend = hazard**2 / 2 - event * hazard
        else:
            bend = (log / v - hazard / (1 + v * hazard)) / v - event * hazard / (1 + v * hazard)
        level_v, level_age = slopes_at_worth(v, model.ageing)
        slope = np.concatenate(
            [
                hung.columns.T @ (b * np.bincount(thing, pull, count)),
                [-float(pull @ above)],
                np.bincount(self.place, pull, _AGES) + pull.sum() * level_age,
                [v * float(hung.weight @ bend) + pull.sum() * level_v, 0.0],
            ]
        )
        return float(hung.weight @ each), slope

    def _bare_sales(self, model: WorthModel, sales: SoldOnly) -> tuple[float, Array]:
        """Log likelihood of sales without periods, and its slope."""
        off = np.log(sales.price) - model.log_worth(sales.columns) + model.shortfall
        pull = sales.weight * off / self.opinion.noise**2
        slope = np.zeros(len(self.middle))
        slope[: len(self.opinion.effect)] = sales.columns.T @ pull
        slope[-1] = -pull.sum()
        return -float(pull @ off) / 2, slope
