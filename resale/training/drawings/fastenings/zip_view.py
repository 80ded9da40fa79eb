"""How a zip is drawn: two tapes, their teeth or coil, and the slider."""

from __future__ import annotations

from resale.training.drawings.palette import FINE, INK, MEDIUM, shade
from resale.training.drawings.svg import Node, Point, circle, path, polyline, rect

AXIS = 128.0
LEFT, RIGHT = 12.0, 348.0
PITCH = {"metal": 14.0, "moulded": 17.0, "coil": 10.0}
SLIDER_X = 286.0


def _tapes(colour: str, spread: float) -> list[Node]:
    """Two woven tapes along the axis; ``spread`` opens them to the right of the slider."""
    parts: list[Node] = []
    for way in (-1, 1):
        outline = [
            (LEFT, AXIS + way * 3),
            (SLIDER_X, AXIS + way * 3),
            (RIGHT, AXIS + way * (3 + spread)),
            (RIGHT, AXIS + way * (64 + spread)),
            (SLIDER_X, AXIS + way * 64),
            (LEFT, AXIS + way * 64),
        ]
        parts.append(
            path(
                polyline(outline, closed=True),
                fill=colour,
                stroke=INK,
                stroke_width=MEDIUM,
                stroke_linejoin="round",
            )
        )
        for off in (22, 34, 46, 58):
            run = [
                (LEFT, AXIS + way * off),
                (SLIDER_X, AXIS + way * off),
                (RIGHT, AXIS + way * (off + spread)),
            ]
            parts.append(
                path(
                    polyline(run),
                    stroke=shade(colour, 0.25),
                    stroke_width=FINE,
                    fill="none",
                    stroke_dasharray="3 1.5",
                )
            )
    return parts


def _tooth(kind: str, at: Point, way: int, colour: str) -> list[Node]:
    """One tooth: ``at`` is where it sits on the axis, ``way`` is -1 for the upper tape."""
    x, y = at
    if kind == "moulded":
        d = polyline(
            [
                (x - 6, y + way * 13),
                (x - 6, y - way * 1),
                (x - 3.6, y - way * 5),
                (x + 3.6, y - way * 5),
                (x + 6, y - way * 1),
                (x + 6, y + way * 13),
            ],
            closed=True,
        )
        return [
            path(
                d,
                fill=shade(colour, -0.32),
                stroke=INK,
                stroke_width=1.1,
                stroke_linejoin="round",
                class_="tooth " + _side(way),
            )
        ]
    d = polyline(
        [
            (x - 4.2, y + way * 15),
            (x - 4.2, y + way * 4),
            (x - 2.9, y - way * 5),
            (x + 2.9, y - way * 5),
            (x + 4.2, y + way * 4),
            (x + 4.2, y + way * 15),
        ],
        closed=True,
    )
    return [
        path(
            d,
            fill=colour,
            stroke=INK,
            stroke_width=1.1,
            stroke_linejoin="round",
            class_="tooth " + _side(way),
        ),
        circle((x, y - way * 0.6), 1.3, fill=shade(colour, 0.55)),
        path(
            polyline([(x - 2.2, y + way * 13), (x - 2.2, y + way * 5)]),
            stroke=shade(colour, -0.7),
            stroke_width=1.0,
        ),
    ]


def _side(way: int) -> str:
    return "upper" if way < 0 else "lower"


def _chain(kind: str, colour: str, gaps: set[tuple[int, int]]) -> list[Node]:
    """Closed teeth from the left to the slider; a gap is a (place, way) left out."""
    pitch = PITCH[kind]
    parts: list[Node] = []
    for place in range(gap_places(kind)):
        for way in (-1, 1):
            if (place, way) in gaps:
                continue
            x = LEFT + 10 + place * pitch + (pitch / 2 if way > 0 else 0)
            parts += _tooth(kind, (x, AXIS + way * 1.5), way, colour)
    return parts


def _coil(colour: str) -> list[Node]:
    """Two spirals, looped into each other."""
    parts: list[Node] = []
    for way in (-1, 1):
        runs, x = [], LEFT + (4 if way < 0 else 9)
        while x < SLIDER_X - 28:
            runs.append(
                f"M{x:g} {AXIS + way * 13:g}C{x + 1:g} {AXIS - way * 7:g} {x + 7:g} "
                f"{AXIS - way * 7:g} {x + 6:g} {AXIS + way * 13:g}"
            )
            x += PITCH["coil"]
        d = "".join(runs)
        parts += [
            path(d, stroke=INK, stroke_width=4.4, fill="none", stroke_linecap="round"),
            path(
                d,
                stroke=shade(colour, -0.45),
                stroke_width=2.6,
                fill="none",
                stroke_linecap="round",
                class_="coil",
            ),
        ]
    return parts


def _slider(colour: str) -> list[Node]:
    x = SLIDER_X
    return [
        path(
            f"M{x - 30} {AXIS - 13}L{x - 2} {AXIS - 24}L{x + 14} {AXIS - 24}L{x + 14} {AXIS + 24}"
            f"L{x - 2} {AXIS + 24}L{x - 30} {AXIS + 13}Z",
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
        ),
        rect(
            x - 22, AXIS - 5, 30, 10, rx=4, fill=shade(colour, 0.25), stroke=INK, stroke_width=1.0
        ),
        path(
            f"M{x - 12} {AXIS - 7}H{x + 48}Q{x + 58} {AXIS - 7} {x + 58} {AXIS}"
            f"Q{x + 58} {AXIS + 7} {x + 48} {AXIS + 7}H{x - 12}Z",
            fill=shade(colour, -0.35),
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        rect(
            x + 32, AXIS - 3, 16, 6, rx=3, fill=shade(colour, 0.35), stroke=INK, stroke_width=FINE
        ),
    ]


def _open_teeth(kind: str, colour: str, spread: float) -> list[Node]:
    """Teeth past the slider, parted."""
    if kind == "coil":
        return []
    parts: list[Node] = []
    x = SLIDER_X + 24
    while x < RIGHT - 6:
        for way in (-1, 1):
            y = AXIS + way * (4 + spread * (x - SLIDER_X) / (RIGHT - SLIDER_X))
            tooth = _tooth(kind, (x, y), way, colour)
            parts += tooth
        x += PITCH[kind]
    return [_without_class(part) for part in parts]


def _without_class(part: Node) -> Node:
    """The same element, not counted among the closed teeth."""
    others = tuple(pair for pair in part.attributes if pair[0] != "class")
    return Node(part.tag, others, part.inside)


def zip_view(kind: str, tape: str, metal: str, gaps: set[tuple[int, int]]) -> list[Node]:
    """Draw a zip lying level, closed on the left of its slider and open on its right.

    Parameters
    ----------
    kind : str
        What its teeth are: coil, moulded or metal.
    tape, metal : str
        Colour of the tapes, and of the slider; plastic teeth have the tape's.
    gaps : set of (int, int)
        Teeth left out: the place counted from the left, and -1 for the upper tape or 1 for the
        lower. A coil has no single teeth, so it has no gaps.

    Returns
    -------
    list of Node
    """
    spread = 20.0
    colour = metal if kind == "metal" else tape
    teeth = _coil(tape) if kind == "coil" else _chain(kind, colour, gaps)
    return [
        rect(LEFT, AXIS - 3, SLIDER_X - LEFT, 6, fill=shade(tape, 0.75)),
        *_tapes(tape, spread),
        *_open_teeth(kind, colour, spread),
        *teeth,
        *_slider(metal),
    ]


def gap_at(kind: str, place: int, way: int) -> Point:
    """Find where a tooth of the closed part sits, present or not.

    Parameters
    ----------
    kind : str
        What the teeth are: moulded or metal.
    place : int
        Counted from the left, from 0.
    way : int
        -1 for the upper tape, 1 for the lower, which is half a pitch further.

    Returns
    -------
    tuple of float
        Its middle, in the drawing's units.
    """
    pitch = PITCH[kind]
    return (LEFT + 10 + place * pitch + (pitch / 2 if way > 0 else 0), AXIS + way * 8)


def gap_places(kind: str) -> int:
    """Say how many teeth of a kind each tape has, closed, left of the slider."""
    return int((SLIDER_X - 26 - LEFT) / PITCH[kind])
