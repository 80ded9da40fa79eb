"""A higher level is harder by something that can be measured in the drawing."""

from __future__ import annotations

from itertools import islice
from statistics import mean

import pytest
from drawn_hardness import HARDER, SMALLEST

from resale.training.drawings import FAMILIES, LEVELS, make

SEEDS, ENOUGH = range(24), 8


def test_every_family_has_its_measure_of_difficulty():
    assert set(HARDER) == set(FAMILIES)


@pytest.mark.parametrize("family", FAMILIES)
def test_each_level_is_harder_than_the_one_before(family):
    measure = HARDER[family]
    hardness = []
    for level in LEVELS:
        found = (measure(make(family, level, seed)) for seed in SEEDS)
        kept = list(islice((value for value in found if value is not None), ENOUGH))
        # Of misses the smallest counts: a level may add a trap that is large.
        hardness.append(max(kept) if family in SMALLEST else mean(kept))
    assert hardness[0] < hardness[1] < hardness[2], hardness


@pytest.mark.parametrize("family", FAMILIES)
def test_a_number_asked_for_is_never_judged_more_strictly_than_it_can_be_read(family):
    """Half a step of the drawn ruler, or two percent, at the least; a count is exact."""
    for level in LEVELS:
        made = make(family, level, 3)
        if made.asks_number and made.unit in {"mm", "%"}:
            assert made.tolerance >= 0.5
