"""Edges, seams, hems and knitting: the truth is read back from what is drawn."""

from __future__ import annotations

import pytest
from drawn_geometry import having
from drawn_sewing import (
    folded_up,
    glove_seam,
    hat_edge,
    hem_turned,
    join_of,
    linen_corner,
    panel_edge,
    scarf_edge,
    stitches_in_tape,
    threads_in_window,
    tie_folded,
    tie_held,
)
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make
from resale.training.drawings.families import drawn_as

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(5), deadline=None)
SEEDS = st.integers(0, 2**32)
READ = {
    "panel_edges": panel_edge,
    "scarf_edges": scarf_edge,
    "linen_hems": linen_corner,
    "tie_folds": tie_folded,
    "tie_tacks": tie_held,
    "glove_seams": glove_seam,
    "hems": hem_turned,
    "hat_edges": hat_edge,
    "knit_joins": join_of,
}


@pytest.mark.parametrize("family", READ)
@levels
@some
@given(seed=SEEDS)
def test_what_was_sewn_is_told_by_its_own_lines(family, level, seed):
    made = make(family, level, seed)
    assert READ[family](made.svg) == made.truth


@levels
@some
@given(seed=SEEDS)
def test_stitches_along_the_tape_are_the_truth(level, seed):
    """By arithmetic: 2.54 cm to the inch, and what lies in 5 cm twice in 10 cm."""
    made = make("knit_gauge", level, seed)
    counted, long = stitches_in_tape(made.svg)
    assert long == pytest.approx(5, abs=0.01)
    assert made.truth == (counted if level == 1 else 2 * counted)
    assert f"{counted / long * 2.54:.1f} to the inch" in made.why


@levels
@some
@given(seed=SEEDS)
def test_cloth_folded_up_is_the_truth(level, seed):
    """What a new hem takes, 10 mm: common practice, no source."""
    made = make("hem_depths", level, seed)
    deep, before = folded_up(made.svg)
    assert made.truth == pytest.approx(deep - (10 if level == 3 else 0), abs=0.1)
    assert (before > 1) == (level > 1)


@levels
@some
@given(seed=SEEDS)
def test_threads_in_the_window_are_the_truth(level, seed):
    """ISO 7211-2 and ASTM D3775, from memory: threads both ways together; 40 and 30 to the
    centimetre are 177.8 to the inch both ways, by arithmetic."""
    made = make("thread_count", level, seed)
    both = sum(threads_in_window(made.svg))
    assert made.truth == (both if level == 1 else 2 * both)
    assert f"{2 * both * 2.54:.0f} to the square inch" in made.why
    assert pytest.approx(177.8) == (40 + 30) * 2.54


@pytest.mark.parametrize("family", READ)
def test_a_pair_that_was_mixed_up_can_be_shown_side_by_side(family):
    """The same exercise is drawn again with what was taken for it, and reads so."""
    for other in make(family, 3, 5).answers:
        again = drawn_as(family, 3, 5, other.id)
        assert again.truth == other.id == READ[family](again.svg)


@levels
def test_a_hand_is_never_even_and_a_machine_always(level):
    """The two that are taken for each other differ in what may be measured, not in a colour."""
    for family, name in (("scarf_edges", "hand_roll"), ("glove_seams", "by_hand")):
        made = [make(family, level, seed) for seed in range(40)]
        by_hand = [one for one in made if one.truth == name]
        assert by_hand and all(having(one.svg, "stitch") for one in by_hand)
