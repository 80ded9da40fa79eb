"""Money shares: exact, without remainder, to the cent.

Published: the additive form is Ang 2005, Energy Policy 33(7), 867-871, eq. (5), with
``L(a, b) = (a - b) / (ln a - ln b)`` as in Ang 2004, Energy Policy 32(9), 1131-1139 (formula seen
in a stored copy of the 2005 paper; its numeric tables were not, so the numbers below are redone
by hand from the formula).
"""

from decimal import Decimal, localcontext

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from resale.pricing.valuation.lmdi import logarithmic_mean, money_shares, whole_units

LOGS = arrays(float, (3, 6), elements=st.floats(-1.5, 1.5, allow_subnormal=False))
PRICES = arrays(float, (3,), elements=st.floats(0.5, 5000))


def test_shares_of_two_factors_by_hand():
    """100 x 1.20 x 1.25 = 150. L(150, 100) = 50 / ln 1.5 = 123.3152; shares 123.3152 ln 1.2 and
    123.3152 ln 1.25. Four decimals were carried by hand, hence the tolerance."""
    shares = money_shares(np.array([100.0]), np.log([[1.20, 1.25]]))
    assert shares[0] == pytest.approx([22.4831, 27.5169], abs=2e-4)


def test_a_factor_and_its_inverse_cancel_and_move_nothing():
    shares = money_shares(np.array([40.0]), np.log([[1.25, 0.8]]))
    assert shares[0] == pytest.approx([40 * np.log(1.25), 40 * np.log(0.8)])
    assert shares.sum() == pytest.approx(0, abs=1e-12)


def test_the_logarithmic_mean_lies_between_geometric_and_arithmetic_mean():
    """Carlson 1972, Amer. Math. Monthly 79(6), 615-618 (inequality cited from memory)."""
    a, b = np.array([1.0, 3.0, 200.0]), np.array([2.0, 3.0000001, 7.0])
    mean = logarithmic_mean(a, b)
    assert np.all(mean >= np.sqrt(a * b) * (1 - 1e-12))
    assert np.all(mean <= (a + b) / 2 * (1 + 1e-12))


@pytest.mark.parametrize("log_ratio", [1e-9, 1e-8, 9e-8, 2e-7, 1e-5, 1e-3])
def test_the_logarithmic_mean_keeps_its_digits_where_prices_are_near(log_ratio):
    """L(a e^r, a) = a expm1(r) / r exactly (Ang 2004); expm1 loses no digits however small r.
    The plain quotient loses about 1e-16 / r of itself: 1e-9 leaves room for that at the cut of
    1e-7, and half the square of r, the error of the plain mean, is less still."""
    found = logarithmic_mean(np.array([30.0 * np.exp(log_ratio)]), np.array([30.0]))
    assert found[0] == pytest.approx(30.0 * np.expm1(log_ratio) / log_ratio, rel=3e-9)


@given(PRICES, LOGS)
def test_shares_leave_no_remainder(start, logs):
    shares = money_shares(start, logs)
    end = start * np.exp(logs.sum(axis=1))
    assert shares.sum(axis=1) == pytest.approx(end - start, rel=1e-6, abs=1e-6 * start.max())


@given(PRICES, LOGS)
def test_a_share_has_the_sign_of_its_contribution(start, logs):
    shares = money_shares(start, logs)
    assert np.all(np.sign(shares) * np.sign(logs) >= 0)


@given(arrays(float, (4, 7), elements=st.floats(-500, 500, allow_subnormal=False)))
def test_whole_units_sum_to_the_total_and_are_at_most_one_unit_off(shares):
    total = np.rint(shares.sum(axis=1)).astype(np.int64)
    whole = whole_units(shares, total)
    assert np.array_equal(whole.sum(axis=1), total)
    assert np.all(np.abs(whole - shares) <= 1 + 1e-9)


def test_largest_remainders_are_served_first():
    """Shares 1.4, 1.4, 1.2 and total 4: floors 1, 1, 1; the one unit left goes to the first of
    the two largest remainders."""
    assert whole_units(np.array([[1.4, 1.4, 1.2]]), np.array([4])).tolist() == [[2, 1, 1]]


def test_what_contributes_nothing_gets_not_a_cent():
    whole = whole_units(np.array([[0.0, 0.6, 0.0, 0.4]]), np.array([1]))
    assert whole.tolist() == [[0, 1, 0, 0]]


def test_a_total_that_rounding_cannot_explain_is_refused():
    with pytest.raises(ValueError, match="do not sum"):
        whole_units(np.array([[1.0, 2.0]]), np.array([9]))


@pytest.mark.parametrize("apart", ["1e-2", "5e-4", "2e-5", "2e-7", "1e-9"])
def test_near_one_another_the_logarithmic_mean_keeps_its_digits(apart: str) -> None:
    """Against (a - b) / ln(a / b) in fifty digits; half way by plain means would be off by 2e-8."""
    with localcontext() as digits:
        digits.prec = 50
        a, b = 20 * (1 + Decimal(apart)), Decimal(20)
        exact = float((a - b) / (a / b).ln())
    found = logarithmic_mean(np.array([float(a)]), np.array([20.0]))
    assert found[0] == pytest.approx(exact, rel=5e-9)
