"""Measures that more than one test of the drawings takes."""

from __future__ import annotations

from itertools import pairwise

from drawn_geometry import at, down_at, having, points, shortest, usual

# ISO 105-A02:1993, cl. 2.4: nominal CIELAB difference and tolerance by grade.
NOMINAL = {
    "5": (0.0, 0.2),
    "4-5": (0.8, 0.2),
    "4": (1.7, 0.3),
    "3-4": (2.5, 0.35),
    "3": (3.4, 0.4),
    "2-3": (4.8, 0.5),
    "2": (6.8, 0.6),
    "1-2": (9.6, 0.7),
    "1": (13.6, 1.0),
}


def ends_on_seam(svg, side):
    """Height of the middle of each stripe where it reaches the seam, by colour."""
    found = {}
    for stripe in having(svg, "stripe", side):
        corners = points(stripe)
        top, low = (corners[1], corners[2]) if side == "body" else (corners[0], corners[3])
        found.setdefault(stripe.get("fill"), []).append((top[1] + low[1]) / 2)
    return {colour: sorted(heights) for colour, heights in found.items()}


def sleeve_out(svg):
    body, sleeve = ends_on_seam(svg, "body"), ends_on_seam(svg, "sleeve")
    assert body.keys() == sleeve.keys()
    parts = []
    for colour, heights in body.items():
        repeat = usual([b - a for a, b in pairwise(heights)])
        parts.append(shortest(sleeve[colour][0] - heights[0], repeat))
    assert max(parts) - min(parts) < 0.01, "every stripe is out by the same"
    return parts[0]


def lines_of(svg, way, side):
    key = "x1" if way == "v" else "y1"
    return sorted(at(each, key)[0] for each in having(svg, "band", way, side))


def pocket_out(svg):
    parts = []
    for way in ("v", "h"):
        front, pocket = lines_of(svg, way, "front"), lines_of(svg, way, "pocket")
        repeat = usual([b - a for a, b in pairwise(front)])
        parts.append(shortest(pocket[0] - front[0], repeat))
    return parts


def heel_wear(svg):
    """Share of the heel's length that is off the ground, depth at the back, and the top piece."""
    piece, stack = (points(having(svg, name)[0]) for name in ("top-piece", "stack"))
    ground = max(y for _, y in piece)
    back, front = min(x for x, _ in stack), max(x for x, y in piece if y > ground - 1)
    lift = []
    for step in range(100):
        x = back + 0.01 + (front - back - 1) * step / 100
        reach = [down_at(outline, x)[-1] for outline in (piece, stack) if down_at(outline, x)]
        lift.append(ground - max(reach))
    thickness = ground - down_at(stack, front - 6)[-1]
    return sum(each > 0.4 for each in lift) / 100, lift[0], thickness


def scale_shapes(svg):
    """Different outlines among scales, each about its own first corner."""
    found = set()
    for each in having(svg, "scale"):
        outline = points(each)
        x, y = outline[0]
        found.add(tuple((round(a - x, 1), round(b - y, 1)) for a, b in outline[::8]))
    return found
