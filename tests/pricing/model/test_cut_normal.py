"""A normal law cut at nought, against scipy's, a formula of its own for two, and many draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import truncnorm

from resale.pricing.model.cut_normal import moments_above_nought


@given(below=st.floats(-28, 8), deviation=st.floats(0.001, 1000))
def test_one_quantity_is_as_scipy_has_it(below, deviation):
    mean, spread = moments_above_nought(np.array([below * deviation]), np.array([[deviation**2.0]]))
    theirs = truncnorm(-below, np.inf, loc=below * deviation, scale=deviation)
    assert mean[0] == pytest.approx(theirs.mean(), rel=1e-6, abs=1e-9 * deviation)
    assert spread[0, 0] == pytest.approx(theirs.var(), rel=1e-4)


@pytest.mark.parametrize("below", [-29.9, -30.1, -1e3, -1e5])
def test_far_below_nought_what_is_left_is_all_but_exponential(below):
    """Its mean and deviation are 1 over the distance, less 2 and 3 over its cube."""
    mean, spread = moments_above_nought(np.array([below]), np.eye(1))
    far = -below
    assert mean[0] == pytest.approx((1 - 2 / far**2) / far, rel=1e-4)
    assert np.sqrt(spread[0, 0]) == pytest.approx((1 - 3 / far**2) / far, rel=1e-4)


@pytest.mark.parametrize("together", [-0.9, -0.5, 0.0, 0.5, 0.9])
def test_two_that_go_together_have_about_the_mean_of_the_formula(together):
    """Rosenbaum 1961, Moments of a truncated bivariate normal distribution (from memory), at
    nought: (1 + r) / (2 sqrt(2 pi) P), with P = 1/4 + arcsin(r) / (2 pi), Sheppard's. The method
    is exact for none together and stands within a hundredth and a half for any."""
    spread = np.array([[1, together], [together, 1]])
    mean, _ = moments_above_nought(np.zeros(2), spread)
    share = 1 / 4 + np.arcsin(together) / (2 * np.pi)
    true = (1 + together) / (2 * np.sqrt(2 * np.pi) * share)
    assert mean == pytest.approx([true, true], rel=0.015 if together else 1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_several_that_go_together_are_as_many_draws_have_them(seed):
    rng = np.random.default_rng(seed)
    root = rng.normal(size=(4, 4))
    spread, middle = root @ root.T + 0.2 * np.eye(4), rng.normal(size=4)
    drawn = rng.multivariate_normal(middle, spread, 2_000_000)
    drawn = drawn[(drawn >= 0).all(axis=1)]
    assert len(drawn) > 4_000
    mean, left = moments_above_nought(middle, spread)
    own = np.sqrt(spread.diagonal())
    # What the method leaves out, and some hundredths of luck.
    assert mean / own == pytest.approx(drawn.mean(axis=0) / own, abs=0.05)
    assert np.sqrt(left.diagonal()) / own == pytest.approx(drawn.std(axis=0) / own, abs=0.05)


@pytest.mark.parametrize("below", [0.0, -1.0, -3.0])
def test_conditions_that_say_the_same_twice_leave_about_as_much(below):
    """A step of one kind that is also the step of all. The method counts it a little more than
    once: a tenth of the mean square about nought, where scipy has the condition once."""
    mean, spread = moments_above_nought(np.array([below, below]), np.ones((2, 2)))
    theirs = truncnorm(-below, np.inf, loc=below)
    square = spread.diagonal() + mean**2
    assert np.sqrt(square) == pytest.approx([np.sqrt(theirs.moment(2))] * 2, rel=0.1)
