"""How a cloth or a skin is made is read back from its threads, figures and edges."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise

import pytest
from drawn_geometry import at, having, points
from drawn_measures import scale_shapes
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(7), deadline=None)
SEEDS = st.integers(0, 2**32)


def crossings(svg):
    """Which thread lies on top at each crossing, by place of its middle on a grid."""
    found = []
    for name in ("warp-over", "weft-over"):
        for each in having(svg, name):
            x, y, wide, high = at(each, "x", "y", "width", "height")
            found.append((x + wide / 2, y + high / 2, name == "warp-over"))
    xs = sorted({round(x, 1) for x, _, _ in found})
    pitch = min(b - a for a, b in pairwise(xs) if b - a > 1)
    left, top = min(x for x, _, _ in found), min(y for _, y, _ in found)
    return {(round((x - left) / pitch), round((y - top) / pitch)): up for x, y, up in found}


def woven(svg):
    """Name the weave by runs along each row, and by how rows step aside."""
    over = crossings(svg)
    rows = sorted({row for _, row in over})
    lines = {r: [over.get((c, r)) for c in range(40)] for r in rows}
    middle = rows[len(rows) // 2]
    known = [(c, up) for c, up in enumerate(lines[middle]) if up is not None]
    runs = [len(list(group)) for _, group in groupby(up for _, up in known)][1:-1]
    if set(runs) == {1}:
        return "plain_weave"
    if max(runs) >= 4:
        return "satin"
    steps = Counter()
    for (c, r), up in over.items():
        for side in (-1, 1):
            if (c + side, r + 1) in over:
                steps[side] += over[c + side, r + 1] == up
    # A slant that is kept agrees nearly always on one side; one that turns back on neither.
    most = max(steps.values()) / sum(1 for c, r in over if (c + 1, r + 1) in over)
    return "twill" if most > 0.98 else "fancy"


@levels
@some
@given(seed=SEEDS)
def test_a_structure_is_told_by_its_threads(level, seed):
    """Plain, twill and satin as in any handbook of weaving: one over one; a slant; long floats."""
    svg = (made := make("weaves", level, seed)).svg
    if having(svg, "loop-leg"):
        told = "jersey"
    elif having(svg, "rib") and having(svg, "tuft"):
        told = "pile"
    else:
        told = woven(svg)
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_surface_is_told_by_face_and_edge(level, seed):
    svg = (made := make("grains", level, seed)).svg
    edges = [name for name in ("edge-fibre", "edge-thread", "edge-crumb") if having(svg, name)]
    assert len(edges) == 1
    figures = [points(each) for each in having(svg, "figure")]
    printed = len(figures) > 50 and len({tuple(shape(one)) for one in figures}) <= 3
    told = {
        ("edge-thread", True): "film",
        ("edge-crumb", True): "bonded",
        ("edge-fibre", True): "corrected",
        ("edge-fibre", False): "suede" if having(svg, "nap") else "full_grain",
    }[edges[0], printed]
    assert told == made.truth
    if told == "full_grain":
        gaps = sorted(at(each, "cx")[0] for each in having(svg, "pore"))
        assert len(gaps) > 40 and not figures


def shape(outline):
    """An outline about its first corner, to a unit."""
    x, y = outline[0]
    return [(round(a - x), round(b - y)) for a, b in outline[::8]]


@levels
@some
@given(seed=SEEDS)
def test_scales_of_a_print_have_twins_and_others_have_none(level, seed):
    svg = (made := make("scales", level, seed)).svg
    scales, shapes = len(having(svg, "scale")), len(scale_shapes(svg))
    told = "none" if not scales else "printed" if shapes < scales / 3 else "perhaps_real"
    assert told == made.truth
    if told == "perhaps_real":
        assert shapes > 0.95 * scales
