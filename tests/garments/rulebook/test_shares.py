"""Shares of options: what was said holds, the others fill up the whole. Figures by hand."""

from __future__ import annotations

import pytest

from resale.errors import RuleBookError
from resale.garments.rulebook.shares import ROUNDING, with_fixed


def test_what_is_left_is_shared_out_in_the_proportions_of_before_and_leaves_no_trace() -> None:
    """Half is left for weights of 1 to 2: a sixth and a third, to twelve decimals as kept."""
    filled = with_fixed({"a": 0.5, "b": 0.1, "c": 0.2}, {"a"}, "here")
    assert filled == {"a": 0.5, "b": 0.166666666667, "c": 0.333333333333}


def test_a_whole_that_is_missed_by_rounding_leaves_the_others_nothing_and_never_less() -> None:
    filled = with_fixed({"a": 1 + 0.9 * ROUNDING, "b": 0.2}, {"a"}, "here")
    assert filled["b"] == 0.0
    with pytest.raises(RuleBookError, match=r"sum to 1\.006"):
        with_fixed({"a": 1 + 1.2 * ROUNDING, "b": 0.2}, {"a"}, "here")


def test_where_something_is_said_of_every_option_all_are_weights() -> None:
    """0.502 and 0.5 are parts of 1.002."""
    filled = with_fixed({"a": 0.502, "b": 0.5}, {"a", "b"}, "here")
    assert filled == {"a": round(0.502 / 1.002, 12), "b": round(0.5 / 1.002, 12)}
    with pytest.raises(RuleBookError, match=r"take up the remaining 0\.200"):
        with_fixed({"a": 0.3, "b": 0.5}, {"a", "b"}, "here")
