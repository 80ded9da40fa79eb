"""The inside of a seam as the hand finds it, laid open under the lamp."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, stitch, torn_edge, weave
from resale.training.drawings.palette import INK, MEDIUM, SOFT_INK, label, shade, shown_ring
from resale.training.drawings.svg import Node, path, polyline, rect

LEFT, RIGHT, TOP, BOTTOM = 10.0, 350.0, 52.0, 236.0
SEAM = 144.0
REACH = 34.0
PALE = "#f7f0e0"
BOTH_EDGES = ((SEAM - REACH, -1), (SEAM + REACH, 1))
"""Height of each allowance's edge, and which way lies beyond it."""


def _row(y: float, colour: str, name: str, *, pitch: float = 13.0) -> list[Node]:
    parts: list[Node] = []
    x = LEFT + 5
    while x + pitch * 0.7 < RIGHT:
        parts.append(stitch((x, y), (x + pitch * 0.62, y), colour, 2.2, class_=f"stitch {name}"))
        x += pitch
    return parts


def _ground(colour: str) -> list[Node]:
    return [
        rect(
            LEFT,
            TOP,
            RIGHT - LEFT,
            BOTTOM - TOP,
            fill=filled("inside"),
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        rect(
            LEFT,
            SEAM - REACH - 3,
            RIGHT - LEFT,
            2 * REACH + 6,
            fill=shade(colour, 0.3),
            fill_opacity=0.35,
        ),
    ]


def _open_seam(colour: str) -> list[Node]:
    """Two allowances pressed apart from the seam line."""
    return [
        rect(
            LEFT, SEAM - REACH, RIGHT - LEFT, REACH, fill=shade(colour, -0.18), class_="allowance"
        ),
        rect(LEFT, SEAM, RIGHT - LEFT, REACH, fill=shade(colour, -0.1), class_="allowance"),
        path(f"M{LEFT} {SEAM}H{RIGHT}", stroke=INK, stroke_width=1.8),
    ]


def _to_one_side(colour: str) -> list[Node]:
    """Both allowances upon each other, pressed to one side of the seam line."""
    return [
        rect(LEFT, SEAM - REACH + 2, RIGHT - LEFT, REACH + 3, fill=INK, fill_opacity=0.16),
        rect(
            LEFT,
            SEAM - REACH - 2.5,
            RIGHT - LEFT,
            REACH,
            fill=shade(colour, 0.12),
            class_="allowance",
        ),
        rect(
            LEFT, SEAM - REACH, RIGHT - LEFT, REACH, fill=shade(colour, -0.18), class_="allowance"
        ),
        path(f"M{LEFT} {SEAM}H{RIGHT}", stroke=INK, stroke_width=1.8),
    ]


def _frays(dice: Random, colour: str) -> list[Node]:
    parts: list[Node] = []
    for y, way in ((SEAM - REACH, -1), (SEAM + REACH, 1)):
        torn = torn_edge(dice, (LEFT, y), (RIGHT, y), steps=46)
        parts.append(
            path(torn, fill="none", stroke=shade(colour, 0.45), stroke_width=1.1, class_="cut-edge")
        )
        for _ in range(34):
            x = dice.uniform(LEFT + 4, RIGHT - 4)
            d = polyline([(x, y - way), (x + dice.uniform(-4, 4), y + way * dice.uniform(4, 11))])
            parts.append(
                path(d, stroke=shade(colour, -0.3), stroke_width=1.0, fill="none", class_="fray")
            )
    return parts


def _loops(colour: str, edges: tuple[tuple[float, int], ...] = BOTH_EDGES) -> list[Node]:
    parts: list[Node] = []
    for y, way in edges:
        inner = y - way * 12
        runs, x = [f"M{LEFT + 2} {inner:g}"], LEFT + 2
        while x + 9 < RIGHT - 2:
            runs.append(
                f"C{x + 1:g} {y + way * 4:g} {x + 5:g} {y + way * 5:g} {x + 6:g} {y + way:g}"
                f"L{x + 9:g} {inner:g}"
            )
            x += 9
        parts.append(path(f"M{LEFT} {y:g}H{RIGHT}", stroke=shade(colour, 0.5), stroke_width=1.0))
        parts.append(
            path(
                "".join(runs),
                stroke=PALE,
                stroke_width=1.7,
                fill="none",
                stroke_linejoin="round",
                class_="loops",
            )
        )
        parts += _row(inner, PALE, "needle", pitch=9.0)
    return parts


def _tapes(colour: str) -> list[Node]:
    parts: list[Node] = []
    tape = shade(colour, -0.6)
    for y, way in ((SEAM - REACH, -1), (SEAM + REACH, 1)):
        top = min(y + way * 4, y - way * 13)
        parts.append(
            rect(
                LEFT,
                top,
                RIGHT - LEFT,
                17,
                rx=2,
                fill=tape,
                stroke=INK,
                stroke_width=1.0,
                class_="tape",
            )
        )
        parts += _row(y - way * 10, shade(colour, 0.55), "edge")
    return parts


def _felled(colour: str) -> list[Node]:
    return [
        rect(LEFT, SEAM - 16, RIGHT - LEFT, 36, fill=INK, fill_opacity=0.16),
        rect(
            LEFT,
            SEAM - 18,
            RIGHT - LEFT,
            36,
            fill=shade(colour, -0.2),
            stroke=INK,
            stroke_width=1.0,
            class_="fold",
        ),
        *_row(SEAM - 12, PALE, "first"),
        *_row(SEAM + 12, PALE, "second"),
    ]


def _shut(colour: str) -> list[Node]:
    """A French seam lying over to one side: a fold at one edge, the row at its foot."""
    return [
        rect(LEFT, SEAM - 12, RIGHT - LEFT, 34, fill=INK, fill_opacity=0.18),
        path(
            f"M{LEFT} {SEAM + 14}V{SEAM - 10}Q{LEFT} {SEAM - 16} {LEFT + 6} {SEAM - 16}"
            f"H{RIGHT}V{SEAM + 14}Z",
            fill=shade(colour, -0.22),
            stroke=INK,
            stroke_width=1.0,
            class_="fold",
        ),
        path(
            f"M{LEFT} {SEAM - 11}H{RIGHT}",
            stroke=shade(colour, -0.6),
            stroke_width=1.6,
            stroke_opacity=0.7,
        ),
        *_row(SEAM + 10, PALE, "foot"),
    ]


def inside_view(kind: str, dice: Random, colour: str) -> tuple[list[Node], list[Node], Node]:
    """Draw the inside of a seam: what is drawn, its tiles, and the ring of the reveal.

    Parameters
    ----------
    kind : str
        Which finish: raw, overlocked, open_pressed, bound, flat_felled or french.
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the cloth.
    """
    parts = _ground(colour)
    if kind in {"raw", "open_pressed", "bound"}:
        parts += _open_seam(colour)
    elif kind == "overlocked":
        parts += _to_one_side(colour)
    parts += {
        "raw": lambda: _frays(dice, colour),
        "overlocked": lambda: _loops(colour, BOTH_EDGES[:1]),
        "open_pressed": lambda: _loops(colour),
        "bound": lambda: _tapes(colour),
        "flat_felled": lambda: _felled(colour),
        "french": lambda: _shut(colour),
    }[kind]()
    parts.append(
        label((350, 254), "from the inside", text_anchor="end", font_size=11, fill=SOFT_INK)
    )
    edge = kind not in {"flat_felled", "french"}
    centre = (180.0, SEAM - REACH if edge else SEAM)
    return parts, [weave("inside", colour)], shown_ring(centre, 150, 17 if edge else 28)
