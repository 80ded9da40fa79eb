"""Systematic differences and speed against accuracy: libraries, hand-made cases, simulation."""

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.contingency_tables import SquareTable

from resale.training.agreement.bias import step_bias, stuart_maxwell
from resale.training.agreement.speed import speed_against_accuracy


@pytest.mark.parametrize("seed", range(5))
def test_equal_margins_are_tested_as_statsmodels_does(seed):
    table = np.random.default_rng(seed).integers(1, 30, (4, 4)).astype(float)
    theirs = SquareTable(table, shift_zeros=False).homogeneity(method="stuart_maxwell")
    found = stuart_maxwell(table)
    assert found.statistic == pytest.approx(theirs.statistic)
    assert found.chance == pytest.approx(theirs.pvalue)


def test_an_answer_nobody_gave_and_full_agreement_say_nothing():
    found = stuart_maxwell([[9, 0, 3], [0, 0, 0], [1, 0, 9]])
    assert (found.freedom, found.statistic) == (1, pytest.approx(1.0))
    alike = step_bias(np.diag([4, 5, 6]))
    assert (alike.steps, alike.low, alike.high, alike.sign_chance) == (0, 0, 0, 1)
    assert not alike.is_systematic
    assert alike.homogeneity.chance == 1


def test_the_mean_step_and_its_interval_are_students():
    table = np.array([[5, 1, 0], [7, 6, 0], [2, 4, 5]])
    apart = [i - j for i in range(3) for j in range(3) for _ in range(table[i, j])]
    found = step_bias(table)
    theirs = stats.ttest_1samp(apart, 0.0).confidence_interval(0.95)
    assert found.steps == pytest.approx(np.mean(apart))
    assert (found.low, found.high) == (pytest.approx(theirs.low), pytest.approx(theirs.high))
    assert (found.higher, found.lower, found.pairs) == (13, 1, 30)
    # By hand: two sides of 14 tosses with at most one head, 2 (1 + 14) / 2^14.
    assert found.sign_chance == pytest.approx(30 / 2**14)
    assert found.is_systematic
    assert found.sentence("Ana", "the lead").startswith(
        "Ana grades more kindly than the lead: on 13 of 30 items a step or more"
    )


def test_one_pair_has_no_interval():
    lonely = step_bias([[0, 1], [0, 0]])
    assert (lonely.steps, lonely.low, lonely.high) == (-1, -np.inf, np.inf)
    assert not lonely.is_systematic
    assert "no steady difference" in lonely.sentence("Ana", "the lead")
    assert not step_bias(np.zeros((2, 2))).is_systematic


def test_two_pairs_are_enough_for_an_interval():
    """Student's for n = 2, by hand: steps 0 and 1, mean 1/2, error 1/2, t(0.975; 1) = 12.7062
    (printed in any table of t, four decimals)."""
    found = step_bias([[1, 0], [1, 0]], coverage=0.95)
    assert found.steps == 0.5
    assert found.high - found.steps == pytest.approx(12.7062 / 2, abs=5e-5)


def test_sorters_without_bias_are_seldom_accused():
    """300 pairs who slip either way alike; at most 5 % may be called systematic. The count of
    that share exceeds 27 of 300 once in 1,500 runs."""
    rng = np.random.default_rng(4)
    accused = 0
    for _ in range(300):
        true = rng.integers(1, 4, 60)
        first, second = (np.clip(true + rng.integers(-1, 2, 60), 0, 4) for _ in range(2))
        table = np.zeros((5, 5))
        np.add.at(table, (first, second), 1)
        accused += step_bias(table).is_systematic
    assert accused <= 27


def test_rank_correlation_is_scipys_and_says_which_way():
    rng = np.random.default_rng(1)
    seconds = rng.exponential(8, 200)
    right = rng.random(200) < 0.5 + 0.4 * (seconds > 8)
    found = speed_against_accuracy(seconds, right)
    assert found.value == pytest.approx(stats.spearmanr(seconds, right).statistic)
    assert 0 < found.low < found.value < found.high
    assert found.sentence.startswith("Taking longer goes with being right")
    assert speed_against_accuracy(-seconds, right).sentence.startswith("The quicker answers")
    assert speed_against_accuracy(seconds, rng.random(200)).sentence.startswith("No steady link")


@pytest.mark.parametrize(
    ("seconds", "right"), [([1, 2, 3], [0, 1, 1]), ([4] * 9, [0, 1] * 4 + [1]), (range(9), [1] * 9)]
)
def test_too_little_variety_says_nothing(seconds, right):
    found = speed_against_accuracy(list(seconds), right)
    assert np.isnan(found.value)
    assert found.sentence.startswith("Too little")


def test_a_perfect_order_has_no_width():
    found = speed_against_accuracy(range(8), range(8))
    assert (found.low, found.value, found.high) == (1, 1, 1)


@pytest.mark.parametrize("binary", [False, True])
def test_the_interval_of_the_rank_correlation_holds_the_truth(binary):
    """400 simulated sorters of 60 answers. With a coverage of 0.95 the share falls outside
    0.92 to 0.98 about once in 150 runs."""
    rng = np.random.default_rng(8)

    def draw(count):
        seconds = rng.normal(size=count)
        score = 0.5 * seconds + rng.normal(size=count)
        return seconds, (score > -0.5 if binary else score)

    truth = stats.spearmanr(*draw(200_000)).statistic
    ends = [speed_against_accuracy(*draw(60)) for _ in range(400)]
    held = sum(one.low <= truth <= one.high for one in ends)
    assert 0.92 <= held / 400 <= 0.985
