"""The learning curve as a test: how near prices must come to the noise floor, and bands' word.

Run by ``python -m pytest tests/benchmarks/test_learning_curve.py -q``; takes some minutes.
"""

import numpy as np
import pytest
from learning_curve import SIZES, TARGETS, measure

SETS = dict(SIZES)


@pytest.fixture(scope="module")
def points():
    return {sales: measure(sales, SETS[sales]) for sales in TARGETS}


@pytest.mark.parametrize("sales", list(TARGETS))
def test_the_error_is_within_so_many_noise_floors(points, sales):
    assert np.mean(points[sales].error) <= TARGETS[sales]


def test_with_many_sales_every_set_is_within_the_target(points):
    assert max(points[3000].error) <= TARGETS[3000]


@pytest.mark.parametrize("sales", [400, 3000])
def test_bands_keep_their_word_on_average_over_sets(points, sales):
    """Bands of 400 scores hold 80 % give or take 2 % each; 6 such sets, 0.8 % together."""
    assert 0.78 <= np.mean(points[sales].inside) <= 0.82


@pytest.mark.parametrize("sales", [400, 3000])
def test_bands_keep_their_word_in_every_kind_that_sold_often_enough(points, sales):
    kinds = points[sales].kinds_inside
    assert len(kinds)
    assert np.all((kinds >= 0.74) & (kinds <= 0.86))
