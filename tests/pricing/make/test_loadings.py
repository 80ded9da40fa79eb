"""How signs go together, learned with entries missing."""

import numpy as np
import pytest
from correlation import mean_correlation
from sklearn.decomposition import FactorAnalysis

from resale.pricing.make.loadings import learned_loadings

LOADING = np.array([0.8, 0.6, 0.6, 0.4, 0.3, 0.5, 0.7, 0.2])


def drawn(count, seed, loading=LOADING):
    rng = np.random.default_rng(seed)
    grade = rng.standard_normal(count)
    noise = rng.standard_normal((count, len(loading)))
    return grade[:, None] * loading + noise * np.sqrt(1 - loading**2), grade, rng


def test_with_nothing_missing_and_no_prior_it_is_maximum_likelihood():
    """scikit-learn's FactorAnalysis climbs the same likelihood by another road (an SVD, Barber
    2012, Bayesian Reasoning and Machine Learning, alg. 21.1). Both stop short of the top by their
    tolerance: 0.005 of a correlation."""
    scores, _, _ = drawn(1500, 1)
    standard = (scores - scores.mean(axis=0)) / scores.std(axis=0)
    model = FactorAnalysis(1, tol=1e-10, max_iter=20_000).fit(standard)
    wanted = model.components_[0] * np.sign(model.components_[0].sum())
    found = learned_loadings(scores, np.zeros(8), strength=0.0, most_rounds=20_000, tolerance=1e-9)
    assert found == pytest.approx(wanted, abs=0.005)


def test_signs_missing_half_of_the_time_are_learned_all_the_same():
    """Half missing at random, 4,000 things: a loading is known to about 0.03; four of these."""
    scores, _, rng = drawn(4000, 2)
    scores[rng.random(scores.shape) < 0.5] = np.nan
    assert learned_loadings(scores, np.full(8, 0.1)) == pytest.approx(LOADING, abs=0.12)


def test_signs_missing_where_others_say_the_thing_is_plain_are_learned_all_the_same():
    """Nobody looks at the last four where the first sign is poor: missing at random given what
    was seen (Rubin 1976, Biometrika 63(3)), so nothing is biased; the plain pairwise correlation
    with the first sign is."""
    scores, _, _ = drawn(6000, 3)
    hidden = scores.copy()
    plain = scores[:, 0] < 0.3
    hidden[plain, 4:] = np.nan
    found = learned_loadings(hidden, np.full(8, 0.1))
    full = learned_loadings(scores, np.full(8, 0.1))
    assert found[1:4] == pytest.approx(full[1:4], abs=0.03)
    assert found[4:] == pytest.approx(full[4:], abs=0.12)


def test_without_readings_the_book_holds():
    prior = np.array([0.1, 0.3, 0.5])
    assert learned_loadings(np.full((0, 3), np.nan), prior) == pytest.approx(prior, abs=1e-3)
    assert learned_loadings(np.full((40, 3), np.nan), prior) == pytest.approx(prior, abs=1e-3)


def test_few_readings_move_the_book_little_and_many_fully():
    prior, apart = np.full(8, 0.1), []
    for count in (10, 100, 3000):
        scores, _, _ = drawn(count, 4)
        apart.append(np.abs(learned_loadings(scores, prior) - LOADING).mean())
    assert apart[0] > apart[1] > apart[2]
    assert apart[2] < 0.06


def test_a_sign_that_goes_against_the_others_says_nothing():
    scores, _, _ = drawn(3000, 5)
    scores[:, 3] *= -1
    assert learned_loadings(scores, np.full(8, 0.2))[3] < 0.03


def test_mean_correlation_of_signs_by_hand():
    """Loadings 0.5, 0.4, 0.2: pairs 0.20, 0.10, 0.08."""
    assert mean_correlation(np.array([0.5, 0.4, 0.2])) == pytest.approx(0.38 / 3)
