"""The regressor keeps scikit-learn's contract for estimators."""

import pytest
from sklearn.utils.estimator_checks import (
    check_dataframe_column_names_consistency,
    parametrize_with_checks,
)

from resale.pricing.model.estimator import RulePriorRegressor

# Check by name, with the reason why the contract does not fit. Empty, and meant to stay so: a
# check that fails is a fault until its reason is written here.
EXPECTED_FAILURES: dict[str, str] = {}

# scikit-learn warns in some of its own checks (a skipped array library, tables of one column).
pytestmark = pytest.mark.filterwarnings("ignore::sklearn.exceptions.SkipTestWarning")


# The checks bring up to 30 inputs for 15 sales, hence some 700 columns with pairs of them.
@parametrize_with_checks(
    [RulePriorRegressor(price_scale="given", numeric="linear", pairs=False)],
    expected_failed_checks=lambda estimator: EXPECTED_FAILURES,
)
def test_the_contract_holds(estimator, check):
    check(estimator)


@pytest.mark.long
@parametrize_with_checks(
    [
        RulePriorRegressor(),
        RulePriorRegressor(price_scale="given"),
        RulePriorRegressor(pairs=False),
    ],
    expected_failed_checks=lambda estimator: EXPECTED_FAILURES,
)
def test_the_contract_holds_however_long_the_climb(estimator, check):
    check(estimator)


def test_the_names_of_the_columns_are_kept_and_asked_for():
    """A check that scikit-learn runs on its own estimators only. The names were once forgotten."""
    check_dataframe_column_names_consistency("RulePriorRegressor", RulePriorRegressor())
