"""Sections: layers cut through and seen from the side, as outlines that can be measured.

Layers are closed runs of straight pieces, so the drawing's own text says what lies on what.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot

from resale.training.drawings.palette import (
    CANVAS,
    CORK,
    FINE,
    FOAM,
    GLUE,
    INK,
    LEATHER,
    LEATHER_DARK,
    LEATHER_PALE,
    LINING,
    MEDIUM,
    PAPER,
    RUBBER,
    THREAD,
    WIDTH,
    label,
    shade,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    Ref,
    circle,
    node,
    path,
    polyline,
    rect,
)

COLOURS = {
    "leather": LEATHER,
    "upper": LEATHER_DARK,
    "pale": LEATHER_PALE,
    "cork": CORK,
    "rubber": RUBBER,
    "foam": FOAM,
    "glue": GLUE,
    "canvas": CANVAS,
    "lining": LINING,
    "cloth": "#8b97a3",
}


def sampled(points: Sequence[Point], per_run: int = 8) -> list[Point]:
    """Points along a smooth line through the given ones (Catmull-Rom)."""
    ends = [points[0], *points, points[-1]]
    found: list[Point] = []
    for k in range(1, len(ends) - 2):
        a, b, c, d = ends[k - 1 : k + 3]
        for step in range(per_run):
            t = step / per_run
            found.append((_blend(a[0], b[0], c[0], d[0], t), _blend(a[1], b[1], c[1], d[1], t)))
    return [*found, points[-1]]


def _blend(a: float, b: float, c: float, d: float, t: float) -> float:
    return 0.5 * (
        2 * b
        + (c - a) * t
        + (2 * a - 5 * b + 4 * c - d) * t * t
        + (3 * b - a - 3 * c + d) * t * t * t
    )


def beside(points: Sequence[Point], distance: float) -> list[Point]:
    """The line that runs beside another, to its right as it is walked, by a distance."""
    moved: list[Point] = []
    last = len(points) - 1
    for k, (x, y) in enumerate(points):
        before, after = points[max(k - 1, 0)], points[min(k + 1, last)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = hypot(dx, dy) or 1.0
        moved.append((x - dy / length * distance, y + dx / length * distance))
    return moved


def band(points: Sequence[Point], thickness: float, *, smooth: bool = True) -> list[Point]:
    """Outline of a layer that follows a line, half its thickness on either side."""
    run = sampled(points) if smooth else list(points)
    return beside(run, -thickness / 2) + beside(run, thickness / 2)[::-1]


def tile(name: str, *, strength: float = 1.0, tint: str = "") -> Node:
    """A tile of material; each has a figure of its own, so that it reads without colour."""
    colour = tint or COLOURS[name]
    dark, pale = shade(colour, 0.22 * strength), shade(colour, -0.3 * strength)
    marks: dict[str, list[Node]] = {
        "leather": [
            path(
                "M0 3.5C2 2.5 4 4.5 7 3.5M0 7C3 6 5 8 7 7",
                stroke=dark,
                fill="none",
                stroke_width=0.7,
            )
        ],
        "upper": [circle((2, 2), 0.6, fill=pale), circle((5.5, 5), 0.6, fill=pale)],
        "pale": [path("M0 4C2 3 5 5 7 4", stroke=dark, stroke_width=0.7, fill="none")],
        "cork": [
            circle((2, 2), 1.2, fill=dark),
            circle((5.4, 4.6), 0.9, fill=dark),
            circle((1.6, 5.9), 0.6, fill=dark),
        ],
        "rubber": [path("M1 1L2.4 2.4M4.5 4.5L5.9 5.9", stroke=pale, stroke_width=0.7)],
        "foam": [
            circle((2, 2), 1.1, fill="none", stroke=dark, stroke_width=0.6),
            circle((5.2, 5.2), 0.8, fill="none", stroke=dark, stroke_width=0.6),
        ],
        "glue": [path("M0 3.5Q1.75 1 3.5 3.5T7 3.5", stroke=dark, stroke_width=0.9, fill="none")],
        "canvas": [path("M0 0L7 7M7 0L0 7", stroke=dark, stroke_width=0.7)],
        "cloth": [path("M-1 1L1 -1M0 7L7 0M6 8L8 6", stroke=dark, stroke_width=0.9)],
        "lining": [path("M0 2H7M0 5.5H7", stroke=pale, stroke_width=0.7)],
    }
    return node(
        "pattern",
        rect(0, 0, 7, 7, fill=colour),
        *marks[name],
        id=Ref("tile-" + name),
        width=7,
        height=7,
        patternUnits="userSpaceOnUse",
    )


@dataclass
class Section:
    """A section being drawn.

    Attributes
    ----------
    flipped : bool
        Mirrored, so that left and right teach nothing.
    zoom, origin : float, pair of float
        Drawing units to a unit of the plan, and the plan's point at the corner of the paper.
    tints : dict
        Colours of materials that are not their usual ones.
    made_of : dict
        Materials of layers that are not their usual ones.
    """

    flipped: bool = False
    zoom: float = 1.0
    origin: Point = (0.0, 0.0)
    tints: dict[str, str] = field(default_factory=dict)
    made_of: dict[str, str] = field(default_factory=dict)
    parts: list[Node] = field(default_factory=list)
    materials: set[str] = field(default_factory=set)

    def place(self, point: Point) -> Point:
        """Where a point of the plan lies on the paper."""
        x, y = ((point[k] - self.origin[k]) * self.zoom for k in (0, 1))
        return self.on_paper((x, y))

    def on_paper(self, point: Point) -> Point:
        """A point of the paper, on the side that this drawing is turned to."""
        return (WIDTH - point[0], point[1]) if self.flipped else point

    def layer(self, name: str, material: str, outline: Sequence[Point]) -> None:
        """Add a layer; the first added lies lowest on the paper."""
        material = self.made_of.get(name, material)
        self.materials.add(material)
        d = polyline((self.place(point) for point in outline), closed=True)
        self.parts.append(
            path(
                d,
                fill=Ref("tile-" + material, as_url=True),
                stroke=INK,
                stroke_width=MEDIUM,
                stroke_linejoin="round",
                class_=f"layer {name}",
            )
        )

    def block(
        self,
        name: str,
        material: str,
        left: float,
        top: float,
        right: float,
        bottom: float,
        *,
        round_right: float = 0.0,
    ) -> None:
        """Add a layer with level faces, its right corners rounded off."""
        r = round_right
        outline: list[Point] = [(left, top), (right - r, top)]
        if r:
            outline += [
                (right - r * 0.3, top + r * 0.3),
                (right, top + r),
                (right, bottom - r),
                (right - r * 0.3, bottom - r * 0.3),
            ]
        else:
            outline += [(right, top)]
        outline += [(right - r, bottom), (left, bottom)]
        self.layer(name, material, outline)

    def thread(self, points: Sequence[Point], name: str = "seam") -> None:
        """Add a thread through the layers, with a bead where it comes out."""
        placed = [self.place(point) for point in points]
        d = polyline(placed)
        self.parts += [
            path(d, stroke=PAPER, stroke_width=4.6, fill="none", stroke_linecap="round"),
            path(
                d,
                stroke=THREAD,
                stroke_width=2.6,
                fill="none",
                stroke_linecap="round",
                class_=f"thread {name}",
            ),
            circle(placed[0], 2.4, fill=THREAD),
            circle(placed[-1], 2.4, fill=THREAD),
        ]

    def name_part(self, at: Point, to: Point, text: str, *, anchor: str = "middle") -> None:
        """Letter a part, with a leader to it; both points of the paper."""
        (x, y), tip = self.on_paper(at), self.on_paper(to)
        if self.flipped and anchor != "middle":
            anchor = "end" if anchor == "start" else "start"
        start = (x, y - 4) if anchor != "middle" else (x, y + 4 if tip[1] > y else y - 12)
        self.parts += [
            path(polyline([start, tip]), stroke=INK, stroke_width=FINE, fill="none"),
            circle(tip, 2.2, fill=INK, stroke=PAPER, stroke_width=FINE),
            label((x, y), text, text_anchor=anchor, class_="label part"),
        ]

    def tiles(self, strength: float = 1.0) -> list[Node]:
        """Definitions of the materials in use, in a settled order."""
        return [
            tile(name, strength=strength, tint=self.tints.get(name, ""))
            for name in sorted(self.materials)
        ]
