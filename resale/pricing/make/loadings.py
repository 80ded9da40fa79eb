"""How signs of make go together, learned from readings alone: no sale is needed.

One hidden grade and signs with entries missing wherever nobody looked, fitted by EM. The book's
loadings are the prior, worth some 25 things of which everything was looked at.

References
----------
Dempster, Laird and Rubin 1977, JRSS B 39(1), 1-38, section 4.7 (factor analysis); Rubin and Thayer
1982, Psychometrika 47(1), 69-76 (EM for factor analysis). Cited from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.pricing.make.factor_score import MOST_LOADING, Array

PRIOR_THINGS = 25.0
# On real things some fifteen rounds are enough; where signs have nothing in common the loadings
# creep on for hundreds, far within what is known of them.
MOST_ROUNDS, TOLERANCE = 200, 1e-4
# A loading learned from so many things is known to about 0.02; more would only cost time.
MOST_THINGS = 2_000
# No sign is ever without noise of its own.
LEAST_OWN = 0.02


def learned_loadings(
    scores: Array,
    prior: Array,
    *,
    strength: float = PRIOR_THINGS,
    most_rounds: int = MOST_ROUNDS,
    tolerance: float = TOLERANCE,
) -> Array:
    """Loadings of one hidden grade.

    Parameters
    ----------
    scores : ndarray, shape (n, signs)
        Scores of the signs; NaN where nobody looked.
    prior : ndarray, shape (signs,)
        Loadings that the book gives.
    strength : float, default 25
        How many things that prior is worth; 0 is maximum likelihood.
    most_rounds, tolerance : int, float
        Stop after so many rounds of EM, or when no loading moves by more than this.

    Returns
    -------
    ndarray, shape (signs,)
        Correlations of each sign with the grade, from 0 to 0.9: a sign that goes against the
        others says nothing of the grade.

    Notes
    -----
    That somebody did not look may depend on what was seen before, as far as the other signs tell;
    not on the unseen answer itself. Of more than 2,000 things every so many is taken, so that old
    and new ones stay in proportion.
    """
    scores = scores[:: max(1, -(-len(scores) // MOST_THINGS))]
    looked = ~np.isnan(scores)
    filled, seen = np.where(looked, scores, 0.0), looked.astype(float)
    loading = np.clip(prior, 0.05 if strength == 0 else 0.0, MOST_LOADING)
    now = _Signs(np.zeros(len(prior)), loading, 1 - loading**2)
    for _ in range(most_rounds):
        before = now
        now = _round(filled, seen, now, prior, strength)
        if len(prior) == 0 or np.abs(now.loading - before.loading).max() < tolerance:
            break
    correlation = now.loading / np.sqrt(now.loading**2 + now.own)
    return np.asarray(np.clip(correlation, 0.0, MOST_LOADING))


@dataclass(frozen=True)
class _Signs:
    """``x = mean + loading f + e`` with ``e`` of variance `own`; each of shape (signs,)."""

    mean: Array
    loading: Array
    own: Array


def _round(scores: Array, looked: Array, signs: _Signs, prior: Array, strength: float) -> _Signs:
    """One round of EM: grades given signs, then signs given grades."""
    centred = (scores - signs.mean) * looked
    total = 1 + looked @ (signs.loading**2 / signs.own)
    f = (centred @ (signs.loading / signs.own)) / total
    count = looked.sum(axis=0)
    sum_f, sum_ff = looked.T @ f, looked.T @ (f**2 + 1 / total)
    sum_x, sum_xf = scores.sum(axis=0), scores.T @ f
    # Weighted least squares of each sign on 1 and f, with mean 0 and the book's loading as prior.
    ones, squares = count + strength, sum_ff + strength
    pulled = sum_xf + strength * prior
    volume = np.maximum(ones * squares - sum_f**2, 1e-12)
    loading = np.maximum((ones * pulled - sum_f * sum_x) / volume, 0.0)
    mean = (sum_x - loading * sum_f) / np.maximum(ones, 1e-12)
    rest = (scores**2).sum(axis=0) - 2 * mean * sum_x - 2 * loading * sum_xf
    rest += count * mean**2 + 2 * mean * loading * sum_f + loading**2 * sum_ff
    own = (rest + strength * (1 - prior**2)) / np.maximum(ones, 1e-12)
    return _Signs(mean, loading, np.maximum(own, LEAST_OWN))
