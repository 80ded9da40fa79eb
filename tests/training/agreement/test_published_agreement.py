"""Agreement and its tests held to values that others printed."""

import numpy as np
import pytest

from resale.training.agreement.alpha import krippendorff_alpha
from resale.training.agreement.bias import stuart_maxwell
from resale.training.agreement.kappa import (
    cohen_kappa,
    cross_table,
    strength,
)

# Cohen 1960, Educ. Psychol. Meas. 20, table 1 (proportions from memory; the value is printed there
# as .492), as counts of 200.
COHEN_1960 = [[88, 10, 2], [14, 40, 6], [18, 10, 12]]
# SAS printout quoted in the tests of statsmodels, statsmodels/stats/tests/test_inter_rater.py.
SAS = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]
# R package irr, kappa2 on its data "anxiety", columns 2 and 3, in the same file; level 5, which
# neither rater used, is dropped there.
ANXIETY = (
    [3, 6, 4, 6, 2, 4, 2, 4, 3, 3, 2, 3, 3, 3, 2, 2, 1, 3, 3, 4],
    [2, 1, 4, 4, 3, 2, 1, 6, 1, 1, 1, 2, 3, 3, 1, 1, 3, 3, 2, 2],
)
nan = float("nan")
# Krippendorff 2011, Computing Krippendorff's Alpha-Reliability: the example with missing ratings
# (typed from memory; it gives the four values printed there).
KRIPPENDORFF = [
    [1, 2, 3, 3, 2, 1, 4, 1, 2, nan, nan, nan],
    [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, nan, 3],
    [nan, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, nan],
    [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, nan],
]


def test_cohens_kappa_of_1960():
    """Printed .492; 0.4915 from the table."""
    found = cohen_kappa(COHEN_1960)
    assert found.observed == pytest.approx(0.70)
    assert found.expected == pytest.approx(0.41)
    assert found.value == pytest.approx(0.4915, abs=5e-5)
    assert found.strength == "fair to moderate"


def test_weighted_kappa_of_1968_with_unequal_weights():
    """Cohen 1968, Psychol. Bull. 70: printed .348, weights of disagreement as below."""
    weights = np.array([[0, 1, 3], [1, 0, 6], [3, 6, 0]], dtype=float)
    assert cohen_kappa(COHEN_1960, weights=weights).value == pytest.approx(0.3478, abs=5e-5)


@pytest.mark.parametrize(
    ("weights", "value", "error", "low", "high"),
    [
        ("none", 0.4842, 0.1380, 0.2137, 0.7547),
        ("linear", 0.4701, 0.1457, 0.1845, 0.7558),
    ],
)
def test_the_printout_of_another_program(weights, value, error, low, high):
    """Four decimals are printed there; one category is used by one rater only."""
    found = cohen_kappa(SAS, weights=weights)
    printed = (found.value, found.standard_error, found.low, found.high)
    assert printed == pytest.approx((value, error, low, high), abs=5e-5)


def test_quadratic_weights_on_the_same_table():
    """0.4502, recomputed from the formula."""
    assert cohen_kappa(SAS, weights="quadratic").value == pytest.approx(0.4502, abs=5e-5)


@pytest.mark.parametrize(
    ("weights", "value"),
    [
        ("none", -0.006289308),
        ("linear", 0.1459075),
        ("quadratic", 0.2520325),
    ],
)
def test_the_values_of_r_on_ratings_of_anxiety(weights, value):
    """R 'irr' kappa2, printed to seven digits; see ANXIETY."""
    levels = [1, 2, 3, 4, 6]
    first, second = ([levels.index(score) for score in column] for column in ANXIETY)
    table = cross_table(first, second, len(levels))
    found = cohen_kappa(table, weights=weights)
    assert found.value == pytest.approx(value, abs=5e-8)


@pytest.mark.parametrize(
    ("level", "value"),
    [("nominal", 0.7434), ("ordinal", 0.8154), ("interval", 0.8491), ("ratio", 0.7974)],
)
def test_krippendorffs_own_example_with_missing_ratings(level, value):
    found = krippendorff_alpha(
        KRIPPENDORFF, level=level, random=np.random.default_rng(1), draws=100
    )
    assert found.value == pytest.approx(value, abs=5e-5)
    # The twelfth unit has one rating, so it says nothing.
    assert found.items == 11


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (-0.01, "poor"),
        (0.0, "slight"),
        (0.20, "slight"),
        (0.21, "fair"),
        (0.40, "fair"),
        (0.41, "moderate"),
        (0.60, "moderate"),
        (0.61, "substantial"),
        (0.80, "substantial"),
        (0.81, "almost perfect"),
        (1.0, "almost perfect"),
        (nan, "cannot be said"),
    ],
)
def test_words_for_strength_are_those_of_landis_and_koch(value, word):
    """Landis and Koch 1977, Biometrics 33, table 2."""
    assert strength(value) == word


# Stuart 1953, Biometrika 40, table of unaided distance vision of 7,477 women: right eye by left
# eye, best grade first (typed from memory; the statistic below agrees with what is published).
VISION = [[1520, 266, 124, 66], [234, 1512, 432, 78], [117, 362, 1772, 205], [36, 82, 179, 492]]


def test_the_vision_table_gives_stuarts_statistic():
    """Stuart 1955, Biometrika 42: 11.96 on 3 degrees of freedom (from memory)."""
    found = stuart_maxwell(VISION)
    assert (found.freedom, found.statistic) == (3, pytest.approx(11.96, abs=0.005))
    assert found.chance == pytest.approx(0.0075, abs=5e-5)


def test_two_options_reduce_to_mcnemars_test():
    """McNemar 1947, Psychometrika 12: (b - c)^2 / (b + c) on one degree of freedom."""
    found = stuart_maxwell([[40, 12], [4, 30]])
    assert (found.freedom, found.statistic) == (1, pytest.approx((12 - 4) ** 2 / (12 + 4)))


def test_the_error_of_kappa_is_that_of_fleiss_cohen_and_everitt():
    """Psychological Bulletin 72 (1969), 323, their table of shares with 200 things, from memory:
    kappa .429 with variance .002885; weighted .507 with variance .003248."""
    table = 200 * np.array([[0.53, 0.05, 0.02], [0.11, 0.14, 0.05], [0.01, 0.06, 0.03]])
    plain = cohen_kappa(table)
    assert plain.value == pytest.approx(0.429, abs=5e-4)
    assert plain.standard_error**2 == pytest.approx(0.002885, abs=5e-7)
    reach = 1.959964 * 0.002885**0.5
    assert (plain.low, plain.high) == pytest.approx((0.429 - reach, 0.429 + reach), abs=1e-3)
    apart = 1 - np.array([[1, 0, 0.4444], [0, 1, 0.6667], [0.4444, 0.6667, 1]])
    weighted = cohen_kappa(table, weights=apart)
    assert weighted.value == pytest.approx(0.507, abs=5e-4)
    assert weighted.standard_error**2 == pytest.approx(0.003248, abs=1e-6)


def test_ninety_of_a_hundred_alike_and_a_low_figure_is_explained():
    found = cohen_kappa([[85, 5], [5, 5]])
    told = found.beside(0.9)
    assert found.value == pytest.approx(0.444, abs=1e-3)
    assert "The same answer on 90%, and yet 0.44" in told and "chance alone would bring 82%" in told
    assert cohen_kappa([[45, 5], [5, 45]]).beside(0.9) == ""
