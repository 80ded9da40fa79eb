"""Threads of a sheet, counted both ways through a linen glass."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BRASS,
    INK,
    MEDIUM,
    SOFT_INK,
    THREAD,
    label,
    mix,
    note,
    shade,
)
from resale.training.drawings.svg import Node, circle, group, path, rect

SIDE = 196.0
"""Of the window on the sheet, which is half a centimetre across."""

LEFT, TOP, RIM = 58.0, 30.0, 20.0
COUNTED = {1: (6, 8), 2: (8, 11), 3: (11, 14)}
"""Threads in the window one way, from and to."""

ALIKE = {1: 0.34, 2: 0.26, 3: 0.18}
SHEETS = ("#e6ded0", "#d5dbe0", "#dcd8c6", "#e3d6cf")


def _cloth(warp: int, weft: int, colour: str, level: int) -> list[Node]:
    """A plain weave: every crossing, the thread that lies on top drawn last."""
    wide, high = SIDE / warp, SIDE / weft
    dark = mix(colour, INK, ALIKE[level])
    upright: list[Node] = []
    level_ones: list[Node] = []
    for row in range(-1, weft + 1):
        for column in range(-1, warp + 1):
            x, y = LEFT + column * wide, TOP + row * high
            over = (row + column) % 2 == 0
            if over:
                part = rect(x + wide * 0.1, y - high * 0.08, wide * 0.8, high * 1.16, rx=wide * 0.3)
            else:
                part = rect(x - wide * 0.08, y + high * 0.1, wide * 1.16, high * 0.8, rx=high * 0.3)
            fill = colour if over else dark
            named = "warp" if over else "weft"
            part = group(part, fill=fill, stroke=shade(colour, 0.6), stroke_width=0.7, class_=named)
            (upright if over else level_ones).append(part)
    return [*level_ones, *upright]


def _glass() -> list[Node]:
    """The frame of the glass with its marks, and the hinge of its foot."""
    hole = (
        f"M{LEFT - RIM:g} {TOP - RIM:g}h{SIDE + 2 * RIM:g}v{SIDE + 2 * RIM:g}"
        f"h{-SIDE - 2 * RIM:g}ZM{LEFT:g} {TOP:g}v{SIDE:g}h{SIDE:g}v{-SIDE:g}Z"
    )
    ticks = []
    for k in range(11):
        at = SIDE * k / 10
        long = 9 if k % 5 == 0 else 5
        ticks.append(f"M{LEFT + at:.1f} {TOP - 2:g}v{-long}M{LEFT - 2:g} {TOP + at:.1f}h{-long}")
    hinge = [
        circle((LEFT + SIDE + RIM + 12, TOP + y), 7, fill=BRASS, stroke=INK) for y in (40, 156)
    ]
    foot = rect(LEFT + SIDE + RIM + 6, TOP + 22, 42, 152, rx=5, fill=shade(BRASS, 0.16), stroke=INK)
    return [
        foot,
        *hinge,
        path(hole, fill=BRASS, fill_rule="evenodd", stroke=INK, stroke_width=MEDIUM),
        path("".join(ticks), stroke=INK, stroke_width=1.1, fill="none"),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a plain sheet under a linen glass.

    Parameters
    ----------
    level : int
        1 asks what is seen in the window; 2 and 3 what that is in a centimetre, of finer cloth.
    dice : Random
        Chance of this exercise.
    """
    warp, weft = dice.randint(*COUNTED[level]), dice.randint(*COUNTED[level])
    colour = dice.choice(SHEETS)
    doubled = level > 1
    seen = warp + weft
    inch = 2 * seen * 2.54
    window = rect(LEFT, TOP, SIDE, SIDE)
    return Drawn(
        question="How many threads are there in one centimetre, both ways together?"
        if doubled
        else "How many threads do you see in the window, both ways together?",
        title="A sheet under a linen glass",
        description="Plain cloth in the square window of a folding glass; the window is half a "
        "centimetre across and half a centimetre down.",
        body=[
            *_glass(),
            rect(LEFT, TOP, SIDE, SIDE, fill=shade(colour, 0.55)),
            group(*_cloth(warp, weft, colour, level), clip_path=clipped("window")),
            rect(
                LEFT,
                TOP,
                SIDE,
                SIDE,
                fill="none",
                stroke=INK,
                stroke_width=MEDIUM,
                class_="window",
            ),
            label((LEFT + SIDE / 2, 262), "window: half a centimetre", text_anchor="middle"),
            label((352, 18), "folding glass", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *(_numbered(k, (LEFT + SIDE * (k - 0.5) / warp, TOP + 14)) for k in range(1, warp + 1)),
            *(_numbered(k, (LEFT + 12, TOP + SIDE * (k - 0.3) / weft)) for k in range(2, weft + 1)),
            note((350, 252), f"{warp} + {weft}", text_anchor="end", font_size=16),
        ],
        truth=float(2 * seen if doubled else seen),
        why=f"{warp} one way and {weft} the other make {seen} in half a centimetre: {2 * seen} in "
        f"a centimetre, and times 2.54 that is {inch:.0f} to the square inch as packets say it.",
        definitions=(clip("window", window),),
        unit="threads",
        tolerance=4.0 if doubled else 1.0,
        caution="Twisted yarns are counted as two on some packets: count what you see as one.",
        height=272,
    )


def _numbered(count: int, at: tuple[float, float]) -> Node:
    return note(at, str(count), text_anchor="middle", font_size=10, fill=THREAD)


FAMILY = Family(
    id="thread_count",
    name="Threads through a linen glass",
    about="Count threads both ways, and say what packets call a thread count.",
    zone="cloth",
    signal_ids=("thread_count",),
    draw=draw,
)
