"""Sections: layers cut through and seen from the side, as outlines that can be measured.

Layers are closed runs of straight pieces, so the drawing's own text says what lies on what.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import hypot

from resale.training.drawings.materials import tile
from resale.training.drawings.palette import (
    FINE,
    INK,
    MEDIUM,
    PAPER,
    THREAD,
    WIDTH,
    label,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    Ref,
    circle,
    path,
    polyline,
)


def sampled(points: Sequence[Point], per_run: int = 8) -> list[Point]:
    """Points along a smooth line through the given ones (Catmull-Rom).

    Parameters
    ----------
    points : sequence of Point
        At least two.
    per_run : int, optional
        Points from one given point to the next.

    Returns
    -------
    list of Point
        The given points are among them.
    """
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
    """The line that runs beside another, to its right as it is walked, by a distance.

    Parameters
    ----------
    points : sequence of Point
        At least two.
    distance : float
        In the points' unit; below 0 to the other side.
    """
    moved: list[Point] = []
    last = len(points) - 1
    for k, (x, y) in enumerate(points):
        before, after = points[max(k - 1, 0)], points[min(k + 1, last)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = hypot(dx, dy) or 1.0
        moved.append((x - dy / length * distance, y + dx / length * distance))
    return moved


def band(points: Sequence[Point], thickness: float, *, smooth: bool = True) -> list[Point]:
    """Outline of a layer that follows a line, half its thickness on either side.

    Parameters
    ----------
    points : sequence of Point
        The middle of the layer.
    thickness : float
        In the points' unit.
    smooth : bool, optional
        Whether the line is rounded by `sampled` first.

    Returns
    -------
    list of Point
        A closed outline.
    """
    run = sampled(points) if smooth else list(points)
    return beside(run, -thickness / 2) + beside(run, thickness / 2)[::-1]


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
        """Add a layer; the first added lies lowest on the paper.

        Parameters
        ----------
        name : str
            Of the layer; `made_of` may give it another material.
        material : str
            Name of a tile.
        outline : sequence of Point
            Closed, in units of the plan.
        """
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
        """Add a layer with level faces, its right corners rounded off.

        Parameters
        ----------
        name : str
            Of the layer.
        material : str
            Name of a tile.
        left, top, right, bottom : float
            Its faces, in units of the plan.
        round_right : float, optional
            Radius of both right corners, in units of the plan.
        """
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
        """Add a thread through the layers, with a bead where it comes out.

        Parameters
        ----------
        points : sequence of Point
            Its way through the layers, in units of the plan.
        name : str, optional
            Class of the element, by which the reveal and the tests find it.
        """
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
        """Letter a part, with a leader to it; both points of the paper.

        Parameters
        ----------
        at : Point
            Where the lettering stands, as on a drawing that is not flipped.
        to : Point
            What it names.
        text : str
            One line.
        anchor : str, optional
            Which end of the lettering stands at `at`: start, middle or end.
        """
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
