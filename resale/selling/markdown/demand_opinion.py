"""What is believed of how fast things sell before any sale: the prior of `demand`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.ageing import prior_of_age
from resale.selling.markdown.frailty import EVEN


@dataclass(frozen=True)
class DemandOpinion:
    """What is believed before any sale: common practice, no source.

    Attributes
    ----------
    rate : float
        Chance a day that an item that has hung a fortnight sells at a ticket equal to its
        estimate, while it is small.
    rate_doubt : float
        Standard deviation of that opinion in log rate, for the shop as a whole.
    elasticity : float
        By how many percent the rate falls for each percent on the ticket.
    elasticity_doubt : float
        Standard deviation of that opinion, for the shop as a whole.
    kind_rate_doubt, kind_elasticity_doubt : float
        How far a kind may lie from the shop as a whole.
    slowing : float
        By how much the rate falls with age on the rail; 0 not at all, see `ageing`.
    slowing_doubt : float
        Standard deviation of that opinion.
    age_step : float
        How far the effect of age may move from one class of age to the next, beyond that; with
        both doubts 0, age is no matter to be learned.
    unevenness : float
        Variance of the factor by which items of like kind and price differ in their rate. An
        estimate that is off by a third either way and an elasticity of 2.5 make about 0.6.
    unevenness_doubt : float
        Standard deviation of that opinion in its log; 0 to keep it as it is.
    """

    rate: float = 0.015
    rate_doubt: float = 0.8
    elasticity: float = 2.5
    elasticity_doubt: float = 0.5
    kind_rate_doubt: float = 0.4
    kind_elasticity_doubt: float = 0.3
    slowing: float = 0.0
    slowing_doubt: float = 0.5
    age_step: float = 0.4
    unevenness: float = 0.6
    unevenness_doubt: float = 0.5

    def prior(self, kinds: int) -> tuple[Array, Array]:
        """Mean and covariance of (a_1 .. a_K, b_1 .. b_K, c_1 .. c_A, log v).

        What the kinds have in common is averaged out, so each kind learns from all others.
        """
        mean = np.repeat([np.log(self.rate), self.elasticity], kinds)
        ages, age_covariance = prior_of_age(self.slowing, self.slowing_doubt, self.age_step)
        covariance = np.zeros((2 * kinds + len(ages) + 1,) * 2)
        for place, shop, own in (
            (slice(0, kinds), self.rate_doubt, self.kind_rate_doubt),
            (slice(kinds, 2 * kinds), self.elasticity_doubt, self.kind_elasticity_doubt),
        ):
            covariance[place, place] = shop**2 + np.eye(kinds) * own**2
        # Where it is not learned the number is never used, but the table has to be invertible.
        covariance[2 * kinds : -1, 2 * kinds : -1] = age_covariance
        covariance[-1, -1] = self.unevenness_doubt**2 or 1.0
        return np.concatenate([mean, ages, [np.log(max(self.unevenness, EVEN))]]), covariance
