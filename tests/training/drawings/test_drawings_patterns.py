"""Counts and lengths read back from the drawings: stitches, stripes, checks, allowances."""

from __future__ import annotations

from itertools import pairwise
from math import degrees

import pytest
from drawn_geometry import (
    across_at,
    at,
    box,
    contrast,
    having,
    points,
    ruler_scale,
    shortest,
    text_of,
    tile_colour,
    usual,
)
from drawn_measures import pocket_out, sleeve_out
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
SEEDS = st.integers(0, 2**32)
some = settings(max_examples=times(7), deadline=None)


def stitches_between_marks(svg):
    left, right = sorted(at(mark, "x1")[0] for mark in having(svg, "gauge-mark"))
    middles = [sum(at(bar, "x1", "x2")) / 2 for bar in having(svg, "stitch")]
    return sum(left < middle < right for middle in middles), (left, right)


@levels
@some
@given(seed=SEEDS)
def test_stitches_counted_between_the_marks_are_the_truth(level, seed):
    made = make("stitches", level, seed)
    count, _ = stitches_between_marks(made.svg)
    assert count == made.truth
    assert len(having(made.svg, "stitch")) > count, "the row runs on past the marks"


@levels
@some
@given(seed=SEEDS)
def test_no_stitch_lies_across_a_mark(level, seed):
    svg = make("stitches", level, seed).svg
    _, ends = stitches_between_marks(svg)
    for bar in having(svg, "stitch"):
        left, right = sorted(at(bar, "x1", "x2"))
        assert not any(left - 1 < end < right + 1 for end in ends)


@levels
@some
@given(seed=SEEDS)
def test_the_stitches_to_the_inch_follow_from_the_drawn_gauge(level, seed):
    """1 in = 25.4 mm; the folded note is 1.25 in across, as its caption says."""
    made = make("stitches", level, seed)
    count, (left, right) = stitches_between_marks(made.svg)
    if having(made.svg, "gauge"):
        assert any("1.25 inch" in text for text in text_of(made.svg, "label"))
        inches = 1.25
    else:
        unit, nought = ruler_scale(made.svg)
        assert left == pytest.approx(nought, abs=0.1)
        inches = (right - left) / unit / (2.54 if text_of(made.svg, "ruler-unit") == ["cm"] else 1)
    assert f"{count / inches:.1f} to the inch" in made.why


@some
@given(seed=SEEDS)
def test_a_stitch_that_skipped_a_bite_is_twice_as_long(seed):
    made = make("stitches", 3, seed)
    bars = [bar for bar in having(made.svg, "stitch") if "beyond" not in bar.get("class")]
    lengths = [abs(at(bar, "x2")[0] - at(bar, "x1")[0]) for bar in bars]
    slips = sum(length > 1.5 * usual(lengths) for length in lengths)
    assert 1 <= slips <= 2
    assert f"{slips} here skipped" in made.why


@levels
def test_thread_stays_visible_on_its_cloth(level):
    for seed in range(12):
        svg = make("stitches", level, seed).svg
        thread = having(svg, "stitch")[0].get("stroke")
        assert contrast(thread, tile_colour(svg, "cloth-main")) > 1.25


@levels
@some
@given(seed=SEEDS)
def test_stripes_are_out_at_the_sleeve_as_the_truth_says(level, seed):
    made = make("sleeve_stripes", level, seed)
    out = sleeve_out(made.svg)
    measured = "met" if out < 0.02 else "near" if out < 0.25 else "off"
    assert measured == made.truth
    assert not 0.02 < out < 0.09 and not 0.22 < out < 0.3, "no drawing sits on the fence"


def tilt(svg):
    (x1, y1), (x2, y2) = points(having(svg, "band", "v", "pocket")[0])
    return abs(degrees((x2 - x1) / (y2 - y1)))


@levels
@some
@given(seed=SEEDS)
def test_the_check_misses_the_pocket_where_the_truth_says(level, seed):
    made = make("pocket_check", level, seed)
    if tilt(made.svg) > 5:
        measured = "slant"
    else:
        across, up = (out > 0.02 for out in pocket_out(made.svg))
        measured = {
            (False, False): "met",
            (True, False): "sideways",
            (False, True): "up",
            (True, True): "off" if level == 1 else "both",
        }[across, up]
    assert measured == made.truth


@levels
@some
@given(seed=SEEDS)
def test_lines_step_at_the_back_seam_by_the_true_millimetres(level, seed):
    made = make("back_seam", level, seed)
    upper, lower = (
        sorted(at(each, "x1")[0] for each in having(made.svg, "chalk", side))
        for side in ("upper", "lower")
    )
    unit, _ = ruler_scale(made.svg)
    repeat = usual([b - a for a, b in pairwise(upper)])
    assert shortest(lower[0] - upper[0], repeat) * repeat / unit == pytest.approx(
        made.truth, abs=0.05
    )
    assert made.truth < repeat / unit / 2, "the short way is the only way to read it"
    # The seam runs down the back: the other lines of the check lie beside it and never meet it.
    for each in having(made.svg, "along"):
        x1, y1, x2, y2 = at(each, "x1", "y1", "x2", "y2")
        assert abs(y2 - y1) < abs(x2 - x1) / 4


@levels
@some
@given(seed=SEEDS)
def test_the_allowance_measured_on_the_ruler_is_the_truth(level, seed):
    """Let out = 2 x (allowance - 10 mm kept): common practice, no source."""
    made = make("allowance", level, seed)
    (body,) = having(made.svg, "ruler")
    height = at(body, "y")[0]
    (seam,) = having(made.svg, "seam")
    top = box(points(seam))[1]
    assert top < height < top + 20, "it lies level with the top: lower down the cloth narrows"
    unit, nought = ruler_scale(made.svg)
    edges = []
    for side in ("left", "right"):
        crossed = across_at(points(having(made.svg, "allowance", side)[0]), height)
        edges.append(crossed[-1] if side == "right" else crossed[0])
    left, right = (abs(edge - at(seam, "x1")[0]) / unit for edge in edges)
    assert left == pytest.approx(right, abs=0.05)
    wanted = right if level == 1 else 2 * (right - 10)
    assert wanted == pytest.approx(made.truth, abs=0.15)
    starts_at_seam = abs(at(seam, "x1")[0] - nought) < 0.1
    assert starts_at_seam == (level == 1)
    assert edges[1] < at(body, "x")[0] + at(body, "width")[0], "the ruler reaches the edge"
