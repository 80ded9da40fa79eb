"""Edges, seams, hems and knitting read back from a drawing: what is folded, sewn, or counted."""

from __future__ import annotations

import re
from itertools import pairwise
from statistics import fmean, pstdev

from drawn_geometry import at, box, having, inside, points, ruler_scale

NUMBER = r"-?\d+(?:\.\d+)?"


def starts(element):
    """Where each run of a path begins."""
    found = re.findall(rf"M({NUMBER}) ({NUMBER})", element.get("d", ""))
    return [(float(x), float(y)) for x, y in found]


def middle(element):
    left, top, right, low = box(points(element))
    return (left + right) / 2, (top + low) / 2


def uneven(steps):
    """Spread of the steps against their mean: 0 where a machine made them."""
    return pstdev(steps) / fmean(steps)


def steps_along(elements, axis=0):
    """Steps between neighbours along one axis."""
    places = sorted(middle(one)[axis] for one in elements)
    return [b - a for a, b in pairwise(places)]


def columns_of(element):
    """Middles of the columns of Vs in one row of plain knitting: two legs each."""
    xs = sorted(x for x, _ in starts(element))
    return [(a + b) / 2 for a, b in zip(xs[::2], xs[1::2], strict=True)]


def stitches_in_tape(svg):
    """Columns between the marks, and how many centimetres the tape says that is."""
    left, right = sorted(at(mark, "x1")[0] for mark in having(svg, "gauge-mark"))
    counted = sum(left < x < right for x in columns_of(having(svg, "loop-leg")[0]))
    unit, nought = ruler_scale(svg)
    assert abs(nought - left) < 0.1, "the tape begins at the mark"
    return counted, (right - left) / unit


def join_of(svg):
    """Linked only where each column has one tooth, right on its middle."""
    if having(svg, "ridge") and having(svg, "round-the-edge"):
        return "overlocked"
    columns = columns_of(having(svg, "loop-leg")[-1])
    wide = columns[1] - columns[0]
    teeth = [middle(one)[0] for one in having(svg, "tooth")]
    if len(teeth) == len(columns):
        off = [abs(a - b) for a, b in zip(sorted(teeth), columns, strict=True)]
        return "linked" if max(off) < wide / 8 else "chain"
    assert having(svg, "link")
    return "chain"


def threads_in_window(svg):
    """Upright threads and level ones whose middle lies in the window of the glass."""
    (window,) = having(svg, "window")
    x, y, wide, high = at(window, "x", "y", "width", "height")
    found = []
    for name, axis, size, (low, long) in (
        ("warp", "x", "width", (x, wide)),
        ("weft", "y", "height", (y, high)),
    ):
        middles = [sum(at(one[0], axis)) + at(one[0], size)[0] / 2 for one in having(svg, name)]
        found.append(len({round(m, 1) for m in middles if low < m < low + long}))
    return tuple(found)


def panel_edge(svg):
    """What lies at the end of the layers, by their outlines."""
    if having(svg, "layer", "whole"):
        return "burnished"
    core = box(points(having(svg, "layer", "core")[0]))
    (face,) = having(svg, "layer", "face")
    if strip := having(svg, "layer", "strip"):
        _, top, _, low = box(points(strip[0]))
        assert top < box(points(face))[1] and low > core[3], "it goes round both skins"
        return "bound"
    if box(points(face))[3] > core[3] + 5:
        return "turned"
    if not (paint := having(svg, "layer", "paint")):
        return "raw_cut"
    return "thick_paint" if _lets_go(points(paint[0]), core) > 5 else "painted"


def _lets_go(paint, core):
    """How far the paint stands off the end of the layers where it is furthest from it."""
    end = core[2] if fmean(x for x, _ in paint) > core[2] else core[0]
    half = len(paint) // 2
    return max(min(abs(x - end) for x, _ in run) for run in (paint[:2], paint[half:][-2:]))


def scarf_edge(svg):
    if having(svg, "overlock"):
        return "cut"
    if not having(svg, "roll"):
        return "flat"
    bites = having(svg, "stitch", "bite")
    return "hand_roll" if bites and uneven(lengths(bites)) > 0.08 else "machine_roll"


def lengths(stitches):
    runs = [points(one) for one in stitches]
    return [((c - a) ** 2 + (d - b) ** 2) ** 0.5 for (a, b), (c, d) in runs]


def linen_corner(svg):
    """Laid over where both hems hold the corner; mitred where neither crosses the slant."""
    if having(svg, "bundle"):
        return "by_hand"
    if having(svg, "overlock"):
        return "overlocked"
    up, low = (points(having(svg, "hem", side)[0]) for side in ("up", "low"))
    _, _, right, foot = box(low)
    places = [(right - a, foot - b) for a, b in ((8, 24), (24, 8))]
    shared = sum(inside(one, up) and inside(one, low) for one in places)
    assert shared in {0, 2}
    return "machine" if shared else "mitred"


def folds_of_a_tie(svg):
    """How often the silk turns back, the room between its edges, and the height of a layer."""
    run = points(having(svg, "silk")[0])
    turns, ways, heights = 0, [], []
    for (x1, y1), (x2, y2) in pairwise(run):
        if abs(x2 - x1) > abs(y2 - y1) and abs(x2 - x1) > 8:
            ways.append(x2 > x1)
            if abs(x2 - x1) > 30:
                heights.append(y1)
    turns = sum(a != b for a, b in pairwise(ways))
    rises = [abs(b - a) for a, b in pairwise(heights) if abs(b - a) > 1]
    return turns, abs(run[-1][0] - run[0][0]), min(rises)


def tie_folded(svg):
    turns, gap, _ = folds_of_a_tie(svg)
    wadding = bool(having(svg, "wadding"))
    if turns == 7:
        assert not wadding
        return "seven"
    assert wadding
    if turns == 2:
        assert gap > 40, "wadding shows"
        return "skimped"
    return "three" if turns == 3 else "more"


def glove_seam(svg):
    """Edges inside or outside by the section, and a hand by its stitches."""
    left, right = (points(having(svg, "layer", side)[0]) for side in ("left", "right"))
    face = left[0][1]
    assert face == right[0][1]
    deep = box(left)[3] - face
    if deep > 16:
        return "wide" if deep > 34 else "inside"
    assert box(left)[1] < face - 10, "edge on edge outside"
    stitches = having(svg, "stitch")
    return "by_hand" if uneven(steps_along(stitches, 1)) > 0.05 else "prix"


def hem_turned(svg):
    if not having(svg, "turned-up"):
        return "raw"
    if having(svg, "through"):
        return "topstitched"
    pricks = [at(one, "cx")[0] for one in having(svg, "prick")]
    even = len(pricks) > 4 and uneven([b - a for a, b in pairwise(sorted(pricks))]) < 0.01
    return "blind" if even and having(svg, "chain") else "by_hand"


def tie_held(svg):
    tacks = len(having(svg, "tack"))
    if having(svg, "slip-loop"):
        assert tacks == 2
        return "slip"
    assert uneven(steps_along(having(svg, "stitch", "chain"), 1)) < 0.02
    return "one" if tacks == 1 else "none"


def straying(svg):
    """How much the rim of a brim turns to and fro: 0 along one clean curve."""
    rim = points(having(svg, "rim-line")[0])[::8]
    bends = [c[1] - 2 * b[1] + a[1] for a, b, c in zip(rim, rim[1:], rim[2:], strict=False)]
    return pstdev(bends)


def hat_edge(svg):
    """A rim that strays; a broad ribbon with long stitches; tiny ones, or a clean cut."""
    if straying(svg) > 0.4:
        return "rough"
    ribbon, stitches = having(svg, "ribbon"), having(svg, "stitch")
    if not ribbon:
        assert having(svg, "slant") and not stitches
        return "fine"
    return "machine" if fmean(lengths(stitches)) > 6 else "fine"


def folded_up(svg):
    """Millimetres from the lower edge to the end of the fold, and how many lie before it."""
    unit, nought = ruler_scale(svg)
    (edge,) = having(svg, "lower-edge")
    _, _, end, _ = box(points(having(svg, "folded")[0]))
    x = at(edge, "x1")[0]
    return (end - x) / unit, (x - nought) / unit
