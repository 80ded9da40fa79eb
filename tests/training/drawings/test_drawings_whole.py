"""What is there and what is not, counted and measured in the drawing."""

from __future__ import annotations

import pytest
from drawn_geometry import at, box, having, points, text_of
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(7), deadline=None)
SEEDS = st.integers(0, 2**32)


@levels
@some
@given(seed=SEEDS)
def test_threads_count_that_run_into_a_seam(level, seed):
    svg = (made := make("loose_threads", level, seed)).svg
    seams = {at(each, "y1")[0] for each in having(svg, "seam")}
    rooted = sum(points(each)[0][1] in seams for each in having(svg, "tail"))
    assert rooted == len(having(svg, "tail"))
    assert not any(points(each)[0][1] in seams for each in having(svg, "hair"))
    told = "none" if rooted == 0 else "few" if rooted <= 3 else "many" if rooted >= 6 else "?"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_part_is_missing_where_its_trace_stands_alone(level, seed):
    svg = (made := make("parts", level, seed)).svg
    missing = (
        len(having(svg, "button")) < len(having(svg, "buttonhole"))
        or (bool(having(svg, "belt-loop")) and not having(svg, "belt"))
        or (bool(having(svg, "stud")) and not having(svg, "hood"))
        or len(having(svg, "strap")) < 2
    )
    told = "missing" if missing else "with_spares" if having(svg, "spare") else "whole"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_lock_goes_with_the_key_of_its_number(level, seed):
    svg = (made := make("lock_key", level, seed)).svg
    if not having(svg, "keyhole"):
        told = "no_lock"
    elif text_of(svg, "lock-number")[0] in text_of(svg, "key-number"):
        told = "with_key"
    else:
        told = "locked_shut" if having(svg, "catch-down") else "no_key"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_stain_is_measured_against_the_coin_and_the_line(level, seed):
    """A coin is 25 mm across here, a palm some 80 and a fingertip 15."""
    svg = (made := make("stains", level, seed)).svg
    left, top, right, bottom = box(points(having(svg, "stain")[0]))
    (coin,) = at(having(svg, "coin")[0], "r")
    (line,) = at(having(svg, "tucked")[0], "y1")
    wide = 25 * (right - left) / (2 * coin)
    extent = 2 if wide < 19 else 3 if wide < 40 else 4 if wide < 110 else 5
    assert bottom < line or top > line
    assert f"{'seen' if bottom < line else 'hidden'}_{extent}" == made.truth


@levels
@some
@given(seed=SEEDS)
def test_what_lies_on_the_cloth_has_its_own_marks(level, seed):
    """Legs, husks, colonies, fibres, a shore line. Common practice, no source."""
    svg = (made := make("guests", level, seed)).svg
    found = {
        "live": len(having(svg, "leg")) == 6 and len(having(svg, "feeler")) == 2,
        "signs": len(having(svg, "husk")) == 3 and len(having(svg, "speck")) > 8,
        "mould": len(having(svg, "bloom")) > 10,
        "lint": len(having(svg, "lint")) >= 5,
        "tide": len(having(svg, "tide")) == 1,
    }
    assert [name for name, seen in found.items() if seen] == [made.truth]


@levels
@some
@given(seed=SEEDS)
def test_an_odour_is_as_strong_as_its_lines_reach(level, seed):
    svg = (made := make("odours", level, seed)).svg
    marks = sorted(at(each, "x1")[0] for each in having(svg, "mark"))
    arm, hand, cloth = marks
    reach = max((cloth - box(points(each))[0] for each in having(svg, "waft")), default=0.0)
    said = " ".join(text_of(svg, "case"))
    if "cellar" in said:
        told = "musty"
    elif reach == 0:
        told = "none"
    elif reach > (cloth - arm) * 0.75:
        told = "strong"
    else:
        told = "noticeable" if reach > (cloth - hand) * 0.5 else "faint"
    assert told == made.truth
    assert ("warm" in said or "tired" in said or len(said) > 20) and said.startswith("At ")
