"""Slowing sales as a test: the plan as it is offered never loses more than a hundredth.

Run by ``python -m pytest tests/benchmarks/test_slowing_sales.py -q``; takes some minutes.
"""

import pytest
from slowing_sales import FADES, MOST_LOST, SIZES, outcome


@pytest.mark.parametrize("items", SIZES)
@pytest.mark.parametrize("fade", FADES)
def test_the_plan_that_is_offered_never_loses_more_than_a_hundredth(fade, items):
    found = [outcome(fade, items, seed) for seed in range(6)]
    assert min(one.offered for one in found) >= -MOST_LOST
