"""A higher level is harder by something that can be measured in the drawing."""

from __future__ import annotations

from functools import cache
from itertools import islice
from statistics import mean

import pytest
from drawn_hardness import HARDER, SMALLEST

from resale.training.drawings import FAMILIES, LEVELS, make

SEEDS = range(24)


def test_every_family_has_its_measure_of_difficulty():
    assert set(HARDER) == set(FAMILIES)


@pytest.mark.long
@pytest.mark.parametrize("enough", [(4, 8), (8,)])
@pytest.mark.parametrize("family", FAMILIES)
def test_each_level_is_harder_than_the_one_before(family, enough):
    """Most families show it in four drawings; to draw takes the time."""
    said = []
    for count in enough:
        said.append([hardness(family, level, count) for level in LEVELS])
        if said[-1][0] < said[-1][1] < said[-1][2]:
            return
    pytest.fail(f"no level is harder than the one before: {said}")


@cache
def measured(family, level, seed):
    return HARDER[family](make(family, level, seed))


def hardness(family, level, count):
    found = (measured(family, level, seed) for seed in SEEDS)
    kept = list(islice((value for value in found if value is not None), count))
    # Of misses the smallest counts: a level may add a trap that is large.
    return max(kept) if family in SMALLEST else mean(kept)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_number_asked_for_is_never_judged_more_strictly_than_it_can_be_read(family):
    """Half a step of the drawn ruler, or two percent, at the least; a count is exact."""
    for level in LEVELS:
        made = make(family, level, 3)
        if made.asks_number and made.unit in {"mm", "%"}:
            assert made.tolerance >= 0.5
