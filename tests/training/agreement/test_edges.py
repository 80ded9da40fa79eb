"""Edges of what is said of readings: rounding before a word, both tests, days of few items."""

from __future__ import annotations

import pytest

from resale.training.agreement.bias import Bias, Homogeneity
from resale.training.agreement.kappa import strength
from resale.training.agreement.sampling import (
    chance_of_passing_a_lot,
    quality_levels,
    sampling_plan,
    times_of,
    what_it_means,
)


def test_a_value_is_taken_to_two_decimals_before_it_is_given_a_word() -> None:
    """Landis and Koch 1977, table 2 (edges .20, .40, .60, .80 at two decimals)."""
    assert [strength(value) for value in (0.404, 0.406)] == ["fair", "moderate"]


def test_a_difference_to_the_worse_is_said_by_its_sizes_the_smaller_first() -> None:
    bias = Bias(-0.5, -0.75, -0.25, 40, 2, 22, 0.001, Homogeneity(9.0, 1, 0.003))
    assert bias.sentence("Nell", "Zora") == (
        "Nell grades more harshly than Zora: on 22 of 40 items a step or more (on average 0.5, "
        "between 0.25 and 0.75)."
    )


@pytest.mark.parametrize(
    ("low", "sign_chance", "systematic"),
    [(0.1, 0.5, False), (-0.1, 0.001, False), (0.1, 0.04, True)],
)
def test_a_steady_difference_takes_the_mean_and_the_sign_test(
    low: float, sign_chance: float, systematic: bool
) -> None:
    bias = Bias(0.3, low, 0.5, 40, 12, 2, sign_chance, Homogeneity(1.0, 1, 0.3), 0.95)
    assert bias.is_systematic is systematic


def test_the_one_item_of_a_day_passes_only_if_it_is_right() -> None:
    for level in quality_levels():
        plan = sampling_plan(1, level)
        assert (plan.sample, plan.accept) == (1, 0) and not plan.passes(1)


def test_misread_items_of_a_small_day_are_counted_to_the_nearest_whole() -> None:
    """Nine tenths of an item is one: looked at one by one, such a day never passes."""
    plan = sampling_plan(3, 2.5)
    assert times_of(chance_of_passing_a_lot(plan, 1)) != times_of(1.0)
    assert times_of(chance_of_passing_a_lot(plan, 1)) in what_it_means(plan, 0.3)
