"""What happened to a place is read back from the drawing by its telling signs alone."""

from __future__ import annotations

import pytest
from drawn_geometry import at, box, contrast, having, points, tile_colour
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(7), deadline=None)
SEEDS = st.integers(0, 2**32)


def gap_on_the_seam(svg):
    """Whether a gap lies across the seam line and the stitches stop beside it."""
    seams, gaps = having(svg, "seam"), having(svg, "opening")
    if not seams or len(gaps) != 1:
        return False
    left, top, right, bottom = box(points(gaps[0]))
    (y,) = at(seams[0], "y1")
    return top < y < bottom and not any(
        left < at(each, "x1")[0] < right for each in having(svg, "sewn")
    )


@levels
@some
@given(seed=SEEDS)
def test_each_damage_has_its_own_signs_and_no_other(level, seed):
    """Eaten: clean holes; torn: broken ends; scorched: a dark rim; a seam: no stitches; a snag:
    no hole. Common practice, no source."""
    svg = (made := make("holes", level, seed)).svg
    found = {
        "moth": len(having(svg, "opening")) >= 2 and bool(having(svg, "grazed")),
        "hole": bool(having(svg, "thread-end")),
        "spark": bool(having(svg, "rim")),
        "seam_failure": gap_on_the_seam(svg),
        "snag": bool(having(svg, "loop")) and not having(svg, "opening"),
    }
    assert [name for name, seen in found.items() if seen] == [made.truth]
    if made.truth == "spark":
        assert contrast(having(svg, "rim")[0].get("stroke"), tile_colour(svg, "cloth-main")) > 1.5


@levels
@some
@given(seed=SEEDS)
def test_damage_of_the_cloth_lies_clear_of_the_seam(level, seed):
    svg = (made := make("holes", level, seed)).svg
    for seam in having(svg, "seam"):
        for gap in having(svg, "opening"):
            if made.truth != "seam_failure":
                assert box(points(gap))[3] < at(seam, "y1")[0] - 10


def test_what_it_trains_is_asked_on_the_bench_by_that_name():
    book = load_rule_book()
    for seed in range(40):
        for signal in make("holes", 2, seed).signal_ids:
            assert signal in book.kinds["jacket"].by_id
