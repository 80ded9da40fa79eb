"""Agreement against published examples, other libraries, and simulated sorters."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from krippendorff import alpha as other_alpha
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from resale.training.alpha import krippendorff_alpha
from resale.training.kappa import (
    cohen_kappa,
    cross_table,
    disagreement,
    error_by_chance,
    fleiss_error_by_chance,
    fleiss_kappa,
    strength,
)

# Cohen 1960, Educ. Psychol. Meas. 20, table 1 (proportions from memory; the value is printed there
# as .492), as counts of 200.
COHEN_1960 = [[88, 10, 2], [14, 40, 6], [18, 10, 12]]
# SAS printout quoted in the tests of statsmodels, statsmodels/stats/tests/test_inter_rater.py.
SAS = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]
# Fleiss 1971, Psychol. Bull. 76, table 1, as given in the same file.
FLEISS_ROWS = """
    00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031
    00501 30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006
"""
FLEISS_1971 = [[int(digit) for digit in row] for row in FLEISS_ROWS.split()]
# An encyclopedia's worked example with 14 raters, in the same file.
FOURTEEN = [
    [0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1],
    [7, 7, 0, 0, 0], [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7],
]  # fmt: skip
# R package irr, kappa2 on its data "anxiety", columns 2 and 3, in the same file; level 5, which
# neither rater used, is dropped there.
ANXIETY = (
    [3, 6, 4, 6, 2, 4, 2, 4, 3, 3, 2, 3, 3, 3, 2, 2, 1, 3, 3, 4],
    [2, 1, 4, 4, 3, 2, 1, 6, 1, 1, 1, 2, 3, 3, 1, 1, 3, 3, 2, 2],
)
nan = float("nan")
# Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, example C.
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
    assert found.strength == "moderate"


def test_weighted_kappa_of_1968_with_unequal_weights():
    """Cohen 1968, Psychol. Bull. 70: printed .348, weights of disagreement as below."""
    weights = np.array([[0, 1, 3], [1, 0, 6], [3, 6, 0]], dtype=float)
    assert cohen_kappa(COHEN_1960, weights=weights).value == pytest.approx(0.3478, abs=5e-5)


@pytest.mark.parametrize(
    ("weights", "value", "error", "low", "high", "by_chance"),
    [
        ("none", 0.4842, 0.1380, 0.2137, 0.7547, 0.1484),
        ("linear", 0.4701, 0.1457, 0.1845, 0.7558, 0.1426),
    ],
)
def test_the_printout_of_another_program(weights, value, error, low, high, by_chance):
    """Four decimals are printed there; one category is used by one rater only."""
    found = cohen_kappa(SAS, weights=weights)
    printed = (found.value, found.standard_error, found.low, found.high)
    assert printed == pytest.approx((value, error, low, high), abs=5e-5)
    assert error_by_chance(SAS, weights=weights) == pytest.approx(by_chance, abs=5e-5)


def test_quadratic_weights_on_the_same_table():
    """0.4502, recomputed from the formula."""
    assert cohen_kappa(SAS, weights="quadratic").value == pytest.approx(0.4502, abs=5e-5)


@pytest.mark.parametrize(
    ("weights", "value", "z"),
    [
        ("none", -0.006289308, -0.0604067),
        ("linear", 0.1459075, 1.282472),
        ("quadratic", 0.2520325, 1.437451),
    ],
)
def test_the_values_of_r_on_ratings_of_anxiety(weights, value, z):
    """R 'irr' kappa2, printed to seven digits; see ANXIETY."""
    levels = [1, 2, 3, 4, 6]
    first, second = ([levels.index(score) for score in column] for column in ANXIETY)
    table = cross_table(first, second, len(levels))
    found = cohen_kappa(table, weights=weights)
    assert found.value == pytest.approx(value, abs=5e-8)
    assert found.value / error_by_chance(table, weights=weights) == pytest.approx(z, abs=5e-6)


@pytest.mark.parametrize(("counts", "value"), [(FLEISS_1971, 0.4302445), (FOURTEEN, 0.2099)])
def test_fleiss_kappa_of_both_published_cases(counts, value):
    found = fleiss_kappa(counts, random=np.random.default_rng(1), draws=200)
    assert found.value == pytest.approx(value, abs=5e-5)
    assert found.low < found.value < found.high


def test_the_shares_and_the_test_value_of_fleiss():
    """Mean agreement .5556, by chance .2199, z 17.65183 (R 'irr', in the same file)."""
    found = fleiss_kappa(FLEISS_1971, random=np.random.default_rng(1), draws=10)
    assert found.observed == pytest.approx(0.5556, abs=5e-5)
    assert found.expected == pytest.approx(0.2199, abs=5e-5)
    assert found.value / fleiss_error_by_chance(FLEISS_1971) == pytest.approx(17.65183, abs=5e-6)


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


@pytest.mark.parametrize("weights", ["none", "linear", "quadratic"])
@pytest.mark.parametrize("seed", range(4))
def test_kappa_equals_scikit_learn_and_its_error_statsmodels(weights, seed):
    rng = np.random.default_rng(seed)
    first = rng.integers(0, 5, 60)
    second = np.where(rng.random(60) < 0.6, first, rng.integers(0, 5, 60))
    table = cross_table(first.tolist(), second.tolist(), 5)
    found = cohen_kappa(table, weights=weights)
    name = None if weights == "none" else weights
    assert found.value == pytest.approx(cohen_kappa_score(first, second, weights=name))
    theirs = cohens_kappa(table, wt=name)
    assert found.standard_error == pytest.approx(theirs.std_kappa)
    assert error_by_chance(table, weights=weights) == pytest.approx(theirs.std_kappa0)


@pytest.mark.parametrize("level", ["nominal", "ordinal", "interval", "ratio"])
@pytest.mark.parametrize("seed", range(4))
def test_alpha_equals_the_library_made_for_it(level, seed):
    rng = np.random.default_rng(seed)
    true = rng.integers(0, 5, 40).astype(float)
    ratings = np.where(rng.random((4, 40)) < 0.7, true, rng.integers(0, 5, (4, 40)))
    ratings[rng.random((4, 40)) < 0.3] = nan
    found = krippendorff_alpha(ratings, level=level, random=rng, draws=10)
    assert found.value == pytest.approx(other_alpha(ratings, level_of_measurement=level))


def test_given_distances_of_steps_squared_are_the_interval_level():
    rng = np.random.default_rng(5)
    ratings = rng.integers(0, 4, (3, 30)).astype(float)
    by_steps = krippendorff_alpha(
        ratings, distances=disagreement("quadratic", 4), random=rng, draws=10
    )
    by_level = krippendorff_alpha(ratings, level="interval", random=rng, draws=10)
    assert by_steps.value == pytest.approx(by_level.value)


def test_the_interval_of_alpha_is_the_same_for_the_same_seed():
    ends = [
        krippendorff_alpha(KRIPPENDORFF, random=np.random.default_rng(9), draws=50).low
        for _ in range(2)
    ]
    assert ends[0] == ends[1]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=2, max_size=40))
def test_full_agreement_is_the_most_and_swapping_the_sorters_changes_nothing(pairs):
    first, second = [a for a, _ in pairs], [b for _, b in pairs]
    ours = cohen_kappa(cross_table(first, second, 4), weights="linear")
    swapped = cohen_kappa(cross_table(second, first, 4), weights="linear")
    if ours.can_be_said:
        assert -1 <= ours.low <= ours.value <= ours.high <= 1
        assert swapped.value == pytest.approx(ours.value)
        assert (ours.value > 1 - 1e-12) == (first == second)


def test_where_everybody_always_says_the_same_nothing_is_claimed():
    one_answer = cohen_kappa([[20, 0], [0, 0]])
    assert not one_answer.can_be_said
    assert one_answer.strength == "cannot be said"
    assert not krippendorff_alpha(np.ones((2, 9)), random=np.random.default_rng(0)).can_be_said
    assert not krippendorff_alpha(np.full((2, 9), nan), random=np.random.default_rng(0)).can_be_said
    assert not cohen_kappa(np.zeros((3, 3))).can_be_said


def test_full_agreement_on_few_items_still_leaves_doubt():
    few, many = cohen_kappa(np.diag([3, 3])), cohen_kappa(np.diag([100, 100]))
    assert few.value == many.value == 1
    # 1 - 0.025^(1/6) = 0.459 of disagreements could hide behind six; over 1 - 0.5 that is 0.919.
    assert few.low == pytest.approx(1 - (1 - 0.025 ** (1 / 6)) / 0.5)
    assert many.low > 0.95


def test_items_that_one_did_not_look_at_are_left_out():
    assert cross_table([0, -1, 1, 1], [0, 1, -1, 0], 2).tolist() == [[1, 0], [1, 0]]


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (-0.01, "poor"), (0.0, "slight"), (0.20, "slight"), (0.21, "fair"), (0.40, "fair"),
        (0.41, "moderate"), (0.60, "moderate"), (0.61, "substantial"), (0.80, "substantial"),
        (0.81, "almost perfect"), (1.0, "almost perfect"), (nan, "cannot be said"),
    ],
)  # fmt: skip
def test_words_for_strength_are_those_of_landis_and_koch(value, word):
    """Landis and Koch 1977, Biometrics 33, table 2."""
    assert strength(value) == word


def test_weights_must_fit_the_options():
    with pytest.raises(ValueError, match="3 x 3"):
        cohen_kappa(COHEN_1960, weights=np.ones((3, 3)))
    with pytest.raises(ValueError, match="same number"):
        fleiss_kappa([[1, 1], [2, 1]], random=np.random.default_rng(0))


def _draw_pairs(rng, items):
    true = rng.choice(3, items, p=[0.2, 0.5, 0.3])
    slip = rng.random((2, items)) < 0.25
    return np.where(slip, rng.integers(0, 3, (2, items)), true)


def test_the_intervals_hold_the_truth_as_often_as_they_say():
    """400 simulated pairs of sorters, 80 items each. The truth: kappa of 200,000 items.
    With a true coverage of 0.95 the count falls outside 0.92 to 0.98 about once in 150 runs;
    the large-sample interval may fall a little short, hence the slack to 0.91."""
    rng = np.random.default_rng(21)
    truth = cohen_kappa(cross_table(*_draw_pairs(rng, 200_000).tolist(), 3)).value
    held = 0
    for _ in range(400):
        found = cohen_kappa(cross_table(*_draw_pairs(rng, 80).tolist(), 3))
        held += found.low <= truth <= found.high
    assert 0.91 <= held / 400 <= 0.985
    held = 0
    for _ in range(120):
        found = krippendorff_alpha(_draw_pairs(rng, 80).astype(float), random=rng, draws=150)
        held += found.low <= truth <= found.high
    assert held / 120 >= 0.88
