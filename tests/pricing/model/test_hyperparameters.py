"""DERIVED: the fixed point is where the log marginal likelihood is level in every scale."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from resale.pricing.model.hyperparameters import NO_PULL, Pull, Sums, weigh_evidence

FAMILY = np.array([0, 0, 0, 0, 1, 1, 1, 1, 1, 1])


def made_up(seed: int = 0, sales: int = 80) -> tuple[np.ndarray, np.ndarray]:
    """Columns of a strong and a weak family, and centred log prices."""
    rng = np.random.default_rng(seed)
    columns = rng.normal(size=(sales, len(FAMILY)))
    true = rng.normal(size=len(FAMILY)) * np.where(FAMILY == 0, 0.5, 0.1)
    return columns, columns @ true + rng.normal(scale=0.3, size=sales)


def sums_of(columns: np.ndarray, target: np.ndarray) -> Sums:
    return Sums(columns.T @ columns, columns.T @ target, target @ target, float(len(target)))


def log_evidence(logs: np.ndarray, columns: np.ndarray, target: np.ndarray) -> float:
    """Log density of the prices for the logs of noise and of both scales."""
    noise, scale = np.exp(logs[0]), np.exp(logs[1:])
    covariance = noise**2 * np.eye(len(target)) + (columns * scale[FAMILY] ** 2) @ columns.T
    return multivariate_normal(np.zeros(len(target)), covariance).logpdf(target)


def climbed(columns: np.ndarray, target: np.ndarray, **settings):
    settings = {"tolerance": 1e-12, "most_rounds": 20_000} | settings
    return weigh_evidence(sums_of(columns, target), FAMILY, [NO_PULL, NO_PULL], **settings)


@pytest.mark.parametrize("seed", range(3))
def test_no_small_change_of_a_scale_makes_the_prices_more_probable(seed):
    """Central differences of step 1e-4 of a sum of 80 terms: off by some 1e-6 by themselves."""
    columns, target = made_up(seed)
    found = climbed(columns, target)
    at = np.log([found.noise, *found.scales])
    for place in range(3):
        step = np.zeros(3)
        step[place] = 1e-4
        rise = log_evidence(at + step, columns, target) - log_evidence(at - step, columns, target)
        assert rise / 2e-4 == pytest.approx(0, abs=1e-5)
        # Level and a top, not a saddle: both neighbours a good way off are lower.
        for far in (-0.3, 0.3):
            step[place] = far
            assert log_evidence(at + step, columns, target) < log_evidence(at, columns, target)


def test_weights_are_the_mean_and_covariance_of_the_posterior():
    """Second road: the joint normal of weights and prices, conditioned on the prices."""
    columns, target = made_up()
    found = climbed(columns, target)
    before = np.diag(found.scales[FAMILY] ** 2)
    gain = (
        before
        @ columns.T
        @ np.linalg.inv(columns @ before @ columns.T + found.noise**2 * np.eye(len(target)))
    )
    assert found.weights == pytest.approx(gain @ target, rel=1e-8)
    assert found.covariance == pytest.approx(before - gain @ columns @ before, abs=1e-10)


def test_where_the_climb_starts_does_not_change_where_it_ends():
    columns, target = made_up()
    first = climbed(columns, target)
    other = climbed(*made_up(seed=9))
    again = climbed(columns, target, start=other)
    assert again.scales == pytest.approx(first.scales, rel=1e-6)
    assert again.weights == pytest.approx(first.weights, rel=1e-6)


def test_a_family_that_says_nothing_fades_out():
    """Pure chance columns beside one that tells the price: their weights go to next to nothing."""
    rng = np.random.default_rng(4)
    columns = rng.normal(size=(200, len(FAMILY)))
    strong = columns[:, :4] @ [0.5, -0.5, 0.4, 0.3]
    others = columns[:, 4:]
    # Take out what chance lets the second family explain, so that nothing is left for it.
    noise = rng.normal(scale=0.2, size=200)
    noise -= columns @ np.linalg.lstsq(columns, noise, rcond=None)[0]
    found = climbed(columns, strong + noise)
    assert np.abs(others @ found.weights[4:]).max() < 1e-3 * np.abs(strong).max()
    assert found.weights[:4] == pytest.approx([0.5, -0.5, 0.4, 0.3], abs=5e-3)


def test_an_opinion_held_for_certain_is_kept():
    columns, target = made_up()
    kept = [Pull(0.7, np.inf), NO_PULL]
    found = weigh_evidence(sums_of(columns, target), FAMILY, kept, noise_pull=Pull(0.5, np.inf))
    assert found.scales[0] == pytest.approx(0.7, rel=1e-12)
    assert found.noise == pytest.approx(0.5, rel=1e-12)


def test_an_opinion_on_a_scale_lies_between_its_own_value_and_that_of_the_sales():
    columns, target = made_up()
    alone = climbed(columns, target).scales[0]
    settings = {"tolerance": 1e-12, "most_rounds": 20_000}
    sums = sums_of(columns, target)
    found = [
        weigh_evidence(sums, FAMILY, [Pull(3.0, strength), NO_PULL], **settings).scales[0]
        for strength in (1.0, 10.0, 1000.0)
    ]
    assert alone < found[0] < found[1] < found[2] < 3.0
    assert found[2] == pytest.approx(3.0, rel=0.01)


@pytest.mark.parametrize("sales", [1, 3, 10])
def test_prices_that_the_columns_explain_exactly_leave_finite_weights(sales):
    """With as many columns as sales the noise falls towards nothing; once it went below."""
    rng = np.random.default_rng(2)
    columns = rng.normal(size=(sales, len(FAMILY)))
    found = climbed(columns, columns @ rng.normal(size=len(FAMILY)), most_rounds=500)
    assert np.isfinite(found.weights).all()
    assert found.noise > 0
    assert np.isfinite(found.covariance).all()
