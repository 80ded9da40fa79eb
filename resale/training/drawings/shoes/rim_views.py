"""The rim of a shoe as it is drawn: from the side, cut through, and from below."""

from __future__ import annotations

from resale.training.drawings.cloth import needle_hole, stitch
from resale.training.drawings.palette import (
    BOLD,
    FINE,
    INK,
    LEATHER_DARK,
    MEDIUM,
    RUBBER,
    shade,
)
from resale.training.drawings.section import Section, band
from resale.training.drawings.svg import Node, Point, path, rect, smooth

LEFT, RIGHT = 10.0, 350.0
RIM_TOP, RIM_BOTTOM, EDGE_BOTTOM = 62.0, 84.0, 122.0
UNDER_TOP, UNDER_BOTTOM = 150.0, 242.0
UNDER_ROW = 172.0


def rim_view(truth: str, pitch: float, leather: str) -> list[Node]:
    """Upper and rim from the side, a little from above.

    Parameters
    ----------
    truth : str
        What the stitches are: real, sham, no_stitching or unsure.
    pitch : float
        From one stitch to the next, in units of the drawing.
    leather : str
        Hex colour of the rim.
    """
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


def edge_view(truth: str, leather: str, *, painted: bool) -> list[Node]:
    """The edge of the sole from the side, with a joint under the welt where there is one.

    Parameters
    ----------
    truth : str
        What the stitches are: a real seam has a joint above the sole.
    leather : str
        Hex colour of the edge where it is not painted.
    painted : bool
        Whether paint hides the joint.
    """
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


def underside_view(truth: str, level: int, pitch: float, bottom: str) -> list[Node]:
    """The sole from below, its edge at the top.

    Parameters
    ----------
    truth : str
        What the stitches are.
    level : int
        2 or 3: at 3 a real seam lies closed in its channel, and a sham one is moulded.
    pitch : float
        Of the stitches on the rim, in units of the drawing.
    bottom : str
        Hex colour of the sole.
    """
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


def rim_section(truth: str) -> Section:
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
