"""Stitches on the rim of a shoe: whether they hold the sole, or only look as if they did."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import needle_hole, stitch
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    FINE,
    INK,
    LEATHER,
    LEATHER_DARK,
    MEDIUM,
    RUBBER,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.section import Section, band
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect, smooth

NONE = Answer("no_stitching", "No stitching on a rim")
SHAM = Answer("sham", "Sham: it holds nothing")
UNSURE = Answer("unsure", "Cannot tell from this")
REAL = Answer("real", "Real: it holds the sole")
OFFERED = {1: (SHAM, REAL), 2: (NONE, SHAM, REAL), 3: (NONE, SHAM, UNSURE, REAL)}

LEFT, RIGHT = 10.0, 350.0
RIM_TOP, RIM_BOTTOM, EDGE_BOTTOM = 62.0, 84.0, 122.0
UNDER_TOP, UNDER_BOTTOM = 150.0, 242.0
UNDER_ROW = 172.0
WHY = {
    ("real", 1): "The thread goes through welt and outsole and is locked below.",
    ("sham", 1): "The thread lies in a groove of the rim and never reaches the outsole; glue does "
    "the work.",
    ("no_stitching", 0): "No stitches on the rim, so there is nothing to doubt: look for how the "
    "sole is held elsewhere.",
    ("real", 2): "Each stitch on the rim has its fellow on the underside, as the two threads of "
    "one seam do, and a joint shows between welt and sole.",
    ("sham", 2): "The underside is smooth, rim and sole are one piece without a joint, and the "
    "stitches lie in a moulded groove.",
    ("sham", 3): "The marks below are spaced unlike those on the rim, and rim and sole are one "
    "piece: both rows were moulded.",
    ("real", 3): "A fine cut runs along the underside near the edge: the channel that the seam "
    "was closed into. With the joint at the edge and thread that dips in, it is real.",
    ("unsure", 3): "A guard covers the underside, and the edge is painted over: neither the lower "
    "thread nor a joint can be seen. Say so rather than guess.",
}


def _rim(truth: str, pitch: float, leather: str) -> list[Node]:
    """Upper and rim from the side, a little from above."""
    parts: list[Node] = [
        path(f"M{LEFT} 14H{RIGHT}V{RIM_TOP}H{LEFT}Z", fill=LEATHER_DARK),
        path(
            smooth([(LEFT, 30), (120, 22), (240, 26), (RIGHT, 18)]),
            fill="none",
            stroke=shade(LEATHER_DARK, -0.3),
            stroke_width=BOLD,
            stroke_opacity=0.5,
        ),
        rect(LEFT, RIM_TOP - 6, RIGHT - LEFT, 6, fill=INK, fill_opacity=0.3),
        rect(LEFT, RIM_TOP, RIGHT - LEFT, RIM_BOTTOM - RIM_TOP, fill=shade(leather, -0.15)),
    ]
    if truth == "no_stitching":
        return parts
    groove = truth == "sham"
    middle = (RIM_TOP + RIM_BOTTOM) / 2
    if groove:
        parts += [
            rect(LEFT, middle - 4.5, RIGHT - LEFT, 9, fill=shade(leather, 0.22)),
            path(
                f"M{LEFT} {middle - 4.5}H{RIGHT}M{LEFT} {middle + 4.5}H{RIGHT}",
                stroke=shade(leather, 0.5),
                stroke_width=FINE,
                class_="groove",
            ),
        ]
    at = LEFT + pitch * 0.75
    while at + pitch * 0.6 < RIGHT:
        start, end = (at, middle + 1.2), (at + pitch * 0.66, middle - 1.2)
        if not groove:
            parts.append(
                path(
                    f"M{at - pitch * 0.17:.2f} {middle - 7}q1.5 6 0 12",
                    fill="none",
                    stroke=shade(leather, 0.45),
                    stroke_width=1.1,
                )
            )
            parts.append(needle_hole(start, radius=1.5))
            parts.append(needle_hole(end, radius=1.5))
        parts.append(stitch(start, end, "#f3e7cf", 3.0, class_="stitch rim"))
        at += pitch
    return parts


def _edge(truth: str, leather: str, *, painted: bool) -> list[Node]:
    """The edge of the sole from the side, with a joint under the welt where there is one."""
    jointed = truth in {"real", "no_stitching"} and not painted
    colour = shade(leather, 0.55) if painted else leather
    parts: list[Node] = [
        rect(LEFT, RIM_BOTTOM, RIGHT - LEFT, EDGE_BOTTOM - RIM_BOTTOM, fill=colour),
        path(f"M{LEFT} {RIM_BOTTOM}H{RIGHT}", stroke=INK, stroke_width=MEDIUM),
    ]
    if jointed:
        y = RIM_BOTTOM + 13
        parts.append(path(f"M{LEFT} {y}H{RIGHT}", stroke=INK, stroke_width=MEDIUM, class_="joint"))
    for y in (95, 103, 109, 115):
        parts.append(
            path(
                f"M{LEFT} {y + 4}H{RIGHT}",
                stroke=shade(colour, 0.2),
                stroke_width=FINE,
                stroke_opacity=0.6,
                stroke_dasharray="30 7 14 9" if jointed else "none",
            )
        )
    parts.append(
        rect(LEFT, 14, RIGHT - LEFT, EDGE_BOTTOM - 14, fill="none", stroke=INK, stroke_width=MEDIUM)
    )
    return parts


def _underside(truth: str, level: int, pitch: float, bottom: str) -> list[Node]:
    """The sole from below, its edge at the top."""
    covered = truth == "unsure"
    moulded = truth == "sham"
    rubber = covered or bottom == RUBBER
    colour = RUBBER if rubber else shade(bottom, -0.1)
    parts: list[Node] = [
        rect(
            LEFT,
            UNDER_TOP,
            RIGHT - LEFT,
            UNDER_BOTTOM - UNDER_TOP,
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
    ]
    if rubber:
        parts += [
            path(f"M{LEFT + 14 + 22 * k} {UNDER_TOP + 44}l14 0l-7 24Z", fill=shade(colour, 0.3))
            for k in range(15)
        ]
    if covered:
        parts.append(
            path(
                f"M{LEFT} {UNDER_TOP + 8}H{RIGHT}",
                stroke=shade(colour, -0.4),
                stroke_width=1.2,
                class_="guard",
            )
        )
    if truth == "real" and level == 3:
        wobble = [(LEFT + 34 * k, UNDER_ROW + (1.2 if k % 2 else -1.2)) for k in range(11)]
        parts.append(
            path(
                smooth(wobble),
                stroke=shade(colour, 0.6),
                stroke_width=1.4,
                fill="none",
                class_="channel",
            )
        )
    below = pitch * 1.45 if moulded and level == 3 else pitch
    if (truth == "real" and level == 2) or (moulded and level == 3):
        at = LEFT + pitch * 0.75
        tone = "#f3e7cf" if truth == "real" else shade(colour, -0.45)
        while at + below * 0.6 < RIGHT:
            if truth == "real":
                parts.append(needle_hole((at, UNDER_ROW), radius=1.5))
            parts.append(
                stitch(
                    (at, UNDER_ROW),
                    (at + below * 0.66, UNDER_ROW),
                    tone,
                    2.6,
                    class_="stitch under",
                )
            )
            at += below
    return parts


def _rim_section(truth: str) -> Section:
    """The rim cut through: upper, welt or rim, outsole, and where the thread goes."""
    section = Section()
    section.layer(
        "outsole",
        "leather" if truth == "real" else "rubber",
        [
            (96, 204),
            (316, 204),
            (320, 208),
            (320, 238),
            (316, 242),
            (96, 242),
        ],
    )
    if truth == "sham":
        section.block("glue", "glue", 96, 198, 316, 204)
    fall: list[Point] = [(172, 132), (190, 152), (196, 176), (190, 197)]
    section.layer("upper", "upper", band(fall, 12))
    section.layer(
        "welt",
        "leather",
        [
            (199, 180),
            (318, 182),
            (318, 198 if truth == "sham" else 204),
            (196, 198 if truth == "sham" else 204),
        ],
    )
    if truth == "real":
        section.thread([(272, 177), (272, 234)], "outseam")
    else:
        section.thread([(262, 180), (266, 187), (278, 187), (282, 180)], "moulded")
    return section


def _shown(truth: str, level: int) -> list[Node]:
    words = {
        "real": "holds the sole",
        "sham": "holds nothing",
        "no_stitching": "no stitches",
        "unsure": "cannot be seen",
    }[truth]
    if level == 1:
        caption = note((272, 150), words, text_anchor="middle", font_size=13)
        return [shown_ring((272, 202), 34, 44), caption]
    rings = [shown_ring((180, UNDER_ROW), 150, 13)]
    if truth == "no_stitching":
        rings = [shown_ring((180, (RIM_TOP + RIM_BOTTOM) / 2), 150, 13)]
    if truth in {"real", "sham"}:
        rings.append(shown_ring((76, RIM_BOTTOM + 13), 40, 10))
    return [*rings, note((180, 206), words, text_anchor="middle", font_size=14)]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a rim from the side, and its section or its underside."""
    truth = dice.choice(OFFERED[level]).id
    pitch = dice.uniform(13.5, 17.5)
    leather = shade(LEATHER, dice.uniform(0.0, 0.25))
    body = [*_rim(truth, pitch, leather), *_edge(truth, leather, painted=truth == "unsure")]
    definitions: list[Node] = []
    if level == 1:
        section = _rim_section(truth)
        body += [
            *section.parts,
            line((84, 246), (330, 246), stroke=INK, stroke_width=BOLD, stroke_opacity=0.7),
        ]
        body += [
            label((14, 200), "the rim", fill=SOFT_INK),
            label((14, 215), "cut through", fill=SOFT_INK),
            path(
                polyline([(14, 134), (346, 134)]),
                stroke=SOFT_INK,
                stroke_width=0.6,
                stroke_dasharray="1 3",
            ),
        ]
        definitions = section.tiles()
    else:
        body += _underside(truth, level, pitch, dice.choice((leather, RUBBER)))
        body += [
            label((346, 137), "from the side", text_anchor="end", font_size=11, fill=SOFT_INK),
            label((346, 256), "from below", text_anchor="end", font_size=11, fill=SOFT_INK),
        ]
    why = WHY.get((truth, level)) or WHY.get((truth, 0)) or WHY[(truth, 2)]
    second = "the rim cut through" if level == 1 else "the sole seen from below"
    return Drawn(
        question="Does the stitching on the rim hold the sole?",
        title="The rim of a shoe",
        description=f"The rim of a shoe seen from the side, with the upper above it, and {second}.",
        body=body,
        shown=_shown(truth, level),
        truth=truth,
        why=why,
        definitions=definitions,
        answers=OFFERED[level],
    )


FAMILY = Family(
    id="false_welt",
    name="True welt or false",
    about="Tell stitches that hold the sole from stitches that only look the part.",
    zone="sole",
    signal_ids=("false_welt",),
    draw=draw,
)
