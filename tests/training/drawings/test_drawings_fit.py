"""Cut, filling, pairs and wear: the truth is read back from heights, counts and outlines."""

from __future__ import annotations

import pytest
from drawn_fit import (
    bodice,
    chest,
    corner,
    cut,
    felt,
    filling,
    hem_line,
    leather,
    lining_wear,
    loft,
    mark,
    pair,
    print_state,
    risen,
    shoulder_drop,
    skirt_lining,
    sleeve,
    underarm,
    vamp,
)
from drawn_geometry import having
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make
from resale.training.drawings.families import drawn_as

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(5), deadline=None)
SEEDS = st.integers(0, 2**32)
READ = {
    "fillings": filling,
    "loft": loft,
    "sweat": underarm,
    "prints": print_state,
    "cuts": cut,
    "sleeve_heads": sleeve,
    "bodices": bodice,
    "linings": skirt_lining,
    "hem_hang": hem_line,
    "pairs": pair,
    "vamps": vamp,
    "lining_wear": lining_wear,
    "metal_marks": mark,
    "felted": felt,
    "corners": corner,
    "leather_states": leather,
}


@pytest.mark.parametrize("family", READ)
@levels
@some
@given(seed=SEEDS)
def test_what_is_asked_is_told_by_what_is_drawn(family, level, seed):
    made = make(family, level, seed)
    assert READ[family](made.svg) == made.truth


@levels
@some
@given(seed=SEEDS)
def test_the_tape_from_pit_to_pit_is_the_truth(level, seed):
    made = make("chest_tape", level, seed)
    assert chest(made.svg) == pytest.approx(made.truth, abs=0.05)


@levels
def test_no_height_and_no_shoulder_sits_on_the_fence(level):
    for seed in range(30):
        made = make("loft", level, seed)
        if made.truth != "lumps":
            assert min(abs(risen(made.svg) - edge) for edge in (0.58, 0.88)) > 0.05
        drop = shoulder_drop(make("cuts", level, seed).svg)
        assert min(abs(drop - edge) for edge in (1, 10)) > 0.9


def test_what_misleads_is_told_apart_in_the_reason():
    """Wound wadding, evenly yellow cloth, a shrunk or stretched shirt, pressed ripples, a dip."""
    told = {
        "fillings": ("synthetic", "wound", "no knot"),
        "sleeve_heads": ("machine_clean", "ripple", "pressed in"),
        "cuts": ("usual", "pull", "shrank"),
    }
    for family, (truth, shown, words) in told.items():
        made = [make(family, 3, seed) for seed in range(60)]
        misled = [one for one in made if one.truth == truth and having(one.svg, shown)]
        assert misled and all(words in one.why for one in misled)
    dips = [make("hem_hang", 3, seed) for seed in range(60)]
    assert any("cut so" in one.why and one.truth == "even" for one in dips)


@pytest.mark.parametrize("family", READ)
def test_a_pair_that_was_mixed_up_can_be_shown_side_by_side(family):
    """The same exercise is drawn again with what was taken for it, and reads so."""
    made = make(family, 3, 5)
    for other in made.answers:
        again = drawn_as(family, 3, 5, other.id)
        assert again.truth == other.id == READ[family](again.svg)
