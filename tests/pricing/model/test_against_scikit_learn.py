"""DERIVED numbers: without opinions the regressor is scikit-learn's ridge and Bayesian ridge."""

import numpy as np
import pandas as pd
import pytest
from sklearn.linear_model import BayesianRidge, Ridge

from resale.pricing.model.estimator import RulePriorRegressor

PLAIN = {"numeric": "linear", "pairs": False}


def table(sales: int = 60, inputs: int = 6) -> tuple[pd.DataFrame, np.ndarray, np.ndarray]:
    """Made-up items, prices and weights."""
    rng = np.random.default_rng(3)
    numbers = rng.normal(size=(sales, inputs)) * np.arange(1, inputs + 1) + 4
    slopes = rng.normal(size=inputs) / np.arange(1, inputs + 1) / 4
    price = np.exp(3 + (numbers - 4) @ slopes + rng.normal(scale=0.3, size=sales))
    items = pd.DataFrame(numbers, columns=[f"input {place}" for place in range(inputs)])
    return items, price, rng.integers(1, 5, sales).astype(float)


def standardised(items: pd.DataFrame, weight: np.ndarray | None = None) -> np.ndarray:
    """Columns less their mean, over their spread, as the regressor has them."""
    numbers = items.to_numpy()
    centre = np.average(numbers, axis=0, weights=weight)
    spread = np.sqrt(np.average((numbers - centre) ** 2, axis=0, weights=weight))
    return (numbers - centre) / spread


def bayesian_ridge() -> BayesianRidge:
    """Return it without its hyper-priors, and climbed to the end."""
    return BayesianRidge(alpha_1=0, alpha_2=0, lambda_1=0, lambda_2=0, max_iter=20_000, tol=1e-14)


def test_without_opinions_it_is_bayesian_ridge():
    """Both climb the same evidence to a fixed point; only the stopping rules differ."""
    items, price, _ = table()
    columns = standardised(items)
    theirs = bayesian_ridge().fit(columns, np.log(price))
    ours = RulePriorRegressor(**PLAIN, tolerance=1e-12, most_rounds=20_000).fit(items, price)
    found = ours.fitted_.weights
    assert found.both == pytest.approx(theirs.coef_, rel=1e-8)
    assert found.noise == pytest.approx(theirs.alpha_**-0.5, rel=1e-8)
    assert found.scales[0] == pytest.approx(theirs.lambda_**-0.5, rel=1e-8)
    assert found.covariance == pytest.approx(theirs.sigma_, rel=1e-6, abs=1e-12)
    assert np.log(ours.predict(items)) == pytest.approx(theirs.predict(columns), rel=1e-9)


def test_equal_weights_above_one_are_bayesian_ridge_of_repeated_sales():
    """A weight of 3 is three sales. BayesianRidge counts rows rather than weights for its noise,
    so rows repeated by hand stand for the weights."""
    items, price, weight = table()
    often = weight.astype(int)
    columns = standardised(items, weight)
    theirs = bayesian_ridge().fit(columns.repeat(often, axis=0), np.log(price).repeat(often))
    ours = RulePriorRegressor(**PLAIN, tolerance=1e-12, most_rounds=20_000)
    ours.fit(items, price, sample_weight=weight)
    assert ours.fitted_.weights.both == pytest.approx(theirs.coef_, rel=1e-8)
    assert np.log(ours.predict(items)) == pytest.approx(theirs.predict(columns), rel=1e-9)


@pytest.mark.parametrize("penalty", [0.01, 1.0, 30.0])
@pytest.mark.parametrize("weighted", [False, True])
def test_with_a_fixed_penalty_it_is_ridge(penalty, weighted):
    """Both solve one linear system; rounding alone may differ."""
    items, price, weight = table()
    weight = weight if weighted else None
    columns = standardised(items, weight)
    theirs = Ridge(alpha=penalty).fit(columns, np.log(price), sample_weight=weight)
    ours = RulePriorRegressor(**PLAIN, shrinkage=penalty).fit(items, price, weight)
    assert ours.fitted_.weights.both == pytest.approx(theirs.coef_, rel=1e-9)
    assert np.log(ours.predict(items)) == pytest.approx(theirs.predict(columns), rel=1e-9)
    assert ours.intercept_ == pytest.approx(np.average(np.log(price), weights=weight), rel=1e-9)


def test_an_opinion_is_ridge_on_what_the_opinion_leaves():
    """Ridge of y - X b0 on X * doubt, plus b0: the same by hand, with unequal doubts."""
    items, price, _ = table()
    prior_mean = dict(zip(items, [0.3, -0.2, 0.1, 0.0, 0.05, -0.1], strict=True))
    doubt = dict(zip(items, [0.1, 0.2, 0.4, 0.05, 1.0, 0.3], strict=True))
    ours = RulePriorRegressor(prior_mean, doubt, **PLAIN, shrinkage=2.0).fit(items, price)
    spread = items.to_numpy().std(axis=0)
    columns = standardised(items)
    before = np.array(list(prior_mean.values())) * spread
    scale = np.array(list(doubt.values())) * spread
    theirs = Ridge(alpha=2.0).fit(columns * scale, np.log(price) - columns @ before)
    assert ours.fitted_.weights.both == pytest.approx(before + theirs.coef_ * scale, rel=1e-9)
    assert ours.fitted_.weights.prior == pytest.approx(before, rel=1e-12)
