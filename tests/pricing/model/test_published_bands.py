"""PUBLISHED: the rank that a conformal band must reach, and what it is before any sale."""

from fractions import Fraction

import numpy as np
import pytest

from resale.pricing.model.conformal import Scores, conformal_rank


@pytest.mark.parametrize(
    ("n", "miss", "rank"),
    [
        # Split conformal prediction: the ceil((n + 1)(1 - a))-th smallest score (Vovk, Gammerman
        # and Shafer 2005; Lei et al. 2018, JASA 113(523), algorithm 2, cited from memory).
        # Whole numbers, so no tolerance.
        (9, 0.1, 9),
        (10, 0.1, 10),
        (19, 0.05, 19),
        (19, 0.2, 16),
        (39, 0.1, 36),
        (50, 0.2, 41),
        (100, 0.1, 91),
        # Above n: no finite band keeps the promise.
        (9, 0.05, 10),
        (0, 0.2, 1),
    ],
)
def test_rank_of_split_conformal_band(n, miss, rank):
    assert conformal_rank(n, miss) == rank
    assert conformal_rank(n, Fraction(str(miss))) == rank


@pytest.mark.parametrize(
    ("n", "miss", "rank"),
    [
        # 100 * (1 - 0.43) comes out above 57 in floats; its ceiling would be 58.
        (99, 0.43, 57),
        # 10 * (1 - 0.1), 30 * (1 - 0.1) and 1000 * (1 - 0.001) are whole numbers too.
        (9, 0.1, 9),
        (29, 0.1, 27),
        (999, 0.001, 999),
    ],
)
def test_a_rank_is_not_one_too_high_for_the_rounding_of_floats(n, miss, rank):
    assert conformal_rank(n, miss) == rank


def test_the_case_of_43_in_100_does_catch_floats():
    assert 100 * (1 - 0.43) > 57


def test_without_sales_a_band_is_that_of_a_normal_distribution():
    """80 % of a normal distribution lies within 1.281552 deviations (any table)."""
    nobody = Scores.of(np.empty(0), np.empty(0, dtype=np.intp), 1)
    assert nobody.reach(0, 0.8) == pytest.approx(1.281552, abs=5e-7)
