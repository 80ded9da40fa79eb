"""Agreement against other libraries, second roads, and simulated sorters."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from krippendorff import alpha as other_alpha
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from resale.training.agreement.alpha import krippendorff_alpha
from resale.training.agreement.kappa import (
    cohen_kappa,
    cross_table,
    disagreement,
)

nan = float("nan")


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
        krippendorff_alpha(
            [[0, 1, 2, 1], [0, 1, 1, 2]], random=np.random.default_rng(9), draws=50
        ).low
        for _ in range(2)
    ]
    assert ends[0] == ends[1]


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=2, max_size=40))
def test_full_agreement_is_the_most_and_swapping_the_sorters_changes_nothing(pairs):
    first, second = [a for a, _ in pairs], [b for _, b in pairs]
    ours = cohen_kappa(cross_table(first, second, 4), weights="linear")
    swapped = cohen_kappa(cross_table(second, first, 4), weights="linear")
    if ours.can_be_said:
        assert -1 - 1e-12 <= ours.low <= ours.value <= ours.high <= 1
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


def test_weights_must_fit_the_options():
    with pytest.raises(ValueError, match="3 x 3"):
        cohen_kappa(np.eye(3), weights=np.ones((3, 3)))


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
