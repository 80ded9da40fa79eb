"""Faults beside one another."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from resale.pricing.make.wear import fault_shares, moved_by_fault

EFFECTS = arrays(float, (1, 6), elements=st.floats(-2, 0.3, allow_subnormal=False))


def worn(effect, further):
    return (effect * fault_shares(effect, further)).sum(axis=1)


def test_the_worst_counts_in_full_and_each_further_one_half_of_the_one_before():
    """-0.9 in full, -0.2 half, -0.1 a quarter: -1.025; in good order, likewise 0.07."""
    effect = np.array([[-0.2, 0.05, -0.9, -0.1, 0.04]])
    assert worn(effect, 0.5)[0] == pytest.approx(-0.9 - 0.1 - 0.025 + 0.05 + 0.02)


@given(EFFECTS, st.integers(0, 5), st.floats(0, 1.5))
def test_a_worse_fault_never_raises_the_price_whatever_the_others_are(effect, place, worse):
    then = effect.copy()
    then[0, place] -= worse
    assert worn(then, 0.5)[0] <= worn(effect, 0.5)[0] + 1e-12


@given(EFFECTS, st.floats(-2, 0.3, allow_subnormal=False), st.sampled_from([0.0, 0.5, 1.0]))
def test_what_one_more_sign_would_do_equals_adding_it(effect, more, further):
    after = worn(np.hstack([effect, [[more]]]), further) - worn(effect, further)
    assert moved_by_fault(effect, np.array([more]), further)[0] == pytest.approx(after, abs=1e-12)
