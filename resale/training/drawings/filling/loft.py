"""Whether a filling still stands: pressed and let go, and held to the light."""

from __future__ import annotations

from math import pi, sin
from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    FINE,
    INK,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    Value,
    group,
    line,
    path,
    polyline,
    rect,
    smooth,
)

LUMPS = Answer("lumps", "Lumps and empty places")
FLAT = Answer("flat", "Flat and slow")
RISES = Answer("rises", "Rises most of the way")
FULL = Answer("full", "Stands full")
ANSWERS = (LUMPS, FLAT, RISES, FULL)
RISEN = {
    "flat": {1: (0.26, 0.32), 2: (0.36, 0.42), 3: (0.44, 0.5)},
    "rises": {1: (0.7, 0.74), 2: (0.74, 0.78), 3: (0.78, 0.82)},
    "full": {1: (0.99, 1.0), 2: (0.96, 0.98), 3: (0.94, 0.96)},
}
"""Height of a pressed chamber against the one beside it, after five counts."""

CLUMPS = {1: 22.0, 2: 18.0, 3: 14.0}
LIGHT = "#fbe9ba"
GROUND, HIGH, WIDE = 104.0, 66.0, 132.0
LEFT_AT, RIGHT_AT = 24.0, 204.0
TUBE, TOP, FIRST, LAST = 32.0, 138.0, 16.0, 344.0
WHY = {
    "lumps": "Held to the light it is dark in clumps and empty between them: washed and not dried, "
    "and cold where it is empty. A dryer may bring it back.",
    "flat": "Five counts after the hand let go it stands at less than half: a tired filling.",
    "rises": "It came back most of the way and lies evenly in its channels: worn, and warm.",
    "full": "It came back as high as the chamber beside it, and no channel is empty.",
}


def _dome(left: float, part: float) -> list[Point]:
    """Outline of a chamber between its two stitch lines, so high as a part of a full one."""
    up = [
        (left + WIDE * t, GROUND - HIGH * part * sin(pi * t) ** 0.62)
        for t in (k / 20 for k in range(21))
    ]
    down = [(left + WIDE * (1 - t), GROUND + 9 * sin(pi * t)) for t in (k / 10 for k in range(11))]
    return [*up, *down]


def _chamber(left: float, part: float, colour: str, named: str, dice: Random) -> list[Node]:
    outline = _dome(left, part)
    fluff = [
        path(
            smooth([(x - 5, y + 3), (x, y - 4), (x + 5, y + 3)]),
            fill="none",
            stroke=shade(colour, 0.26),
            stroke_width=FINE,
        )
        for x, y in (
            (
                left + WIDE * t,
                GROUND - 4 - dice.uniform(0, 0.72) * HIGH * part * sin(pi * t),
            )
            for t in (0.14 + 0.72 * k / 26 for k in range(27))
        )
    ]
    knots = [
        line((x, GROUND - 9), (x, GROUND + 9), stroke=INK, stroke_width=BOLD)
        for x in (left, left + WIDE)
    ]
    return [
        path(
            polyline(outline, closed=True),
            fill=shade(colour, -0.5),
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
            class_=f"chamber {named}",
        ),
        *fluff,
        *knots,
    ]


def _channel(dice: Random, row: int, level: int, lumpy: bool, colour: str) -> list[Node]:
    """A channel against the light: filled evenly, or dark in clumps and bare between."""
    top = TOP + row * (TUBE + 3)
    inner = mix(LIGHT, colour, 0.62)
    if lumpy:
        spots = [
            (FIRST + (LAST - FIRST) * (k + dice.uniform(0.2, 0.8)) / 4, top + TUBE / 2)
            for k in range(4)
        ]
        kept = dice.sample(spots, 3)
        filled = [
            path(
                smooth(blob(dice, at, CLUMPS[level] * 1.3, 0.25, flat=0.62), closed=True),
                fill=mix(inner, INK, 0.22),
                class_="clump",
            )
            for at in kept
        ]
        ground = mix(LIGHT, colour, 0.1)
    else:
        filled = [
            path(
                smooth(blob(dice, (FIRST + 10 + 21.5 * k, top + TUBE / 2), 14, 0.2), closed=True),
                fill=mix(inner, INK, dice.uniform(0.0, 0.08)),
                class_="even",
            )
            for k in range(15)
        ]
        ground = inner
    return [
        rect(FIRST, top, LAST - FIRST, TUBE, rx=9, fill=ground, class_="channel"),
        group(*filled, clip_path=clipped(f"tube-{row}")),
        rect(FIRST, top, LAST - FIRST, TUBE, rx=9, fill="none", stroke=INK, stroke_width=MEDIUM),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw two chambers cut through, one of them pressed, and three channels held to the light.

    Parameters
    ----------
    level : int
        At higher levels heights lie nearer to each other and clumps are smaller.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    lumpy = truth == "lumps"
    # What went to lumps may come up again where the hand happened to press a clump.
    rise = ("flat" if dice.random() < 0.5 else "rises") if lumpy else truth
    part = dice.uniform(*RISEN[rise][level])
    rows = [one for row in range(3) for one in _channel(dice, row, level, lumpy, colour)]
    dash: dict[str, Value] = {"stroke": SOFT_INK, "stroke_width": FINE, "stroke_dasharray": "4 4"}
    full_top, risen_top = GROUND - HIGH, GROUND - HIGH * part
    middle = RIGHT_AT + WIDE / 2
    shown: list[Node] = (
        [shown_ring((180, TOP + TUBE * 1.6), 150, 56)]
        if lumpy
        else [arrow_line((middle, GROUND), (middle, risen_top))]
    )
    return Drawn(
        question="How is the filling?",
        title="Chambers of a padded jacket",
        description="Above, two chambers cut through: one was left alone, the other pressed with a "
        "hand and let go five counts ago. Below, three channels with a lamp behind them.",
        body=[
            *_chamber(LEFT_AT, 1.0, colour, "alone", dice),
            *_chamber(RIGHT_AT, part, colour, "pressed", dice),
            line((LEFT_AT, full_top), (RIGHT_AT + WIDE, full_top), **dash),
            label((LEFT_AT + WIDE / 2, 24), "left alone", text_anchor="middle", fill=SOFT_INK),
            label((middle, 24), "pressed, five counts ago", text_anchor="middle", fill=SOFT_INK),
            label((FIRST, TOP - 7), "against the lamp", font_size=11, fill=SOFT_INK),
            *rows,
        ],
        shown=[
            *shown,
            note((344, TOP - 7), words_of(ANSWERS, truth).lower(), text_anchor="end", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=tuple(
            clip(f"tube-{row}", rect(FIRST, TOP + row * (TUBE + 3), LAST - FIRST, TUBE, rx=9))
            for row in range(3)
        ),
        answers=ANSWERS,
        caution="What lay pressed in a sack for months wants an hour and a shake before it is "
        "judged.",
        height=254,
    )


FAMILY = Family(
    id="loft",
    name="Does the filling still stand",
    about="Judge a filling by how far it rises again, and find clumps and empty places.",
    zone="wear",
    signal_ids=("loft_state",),
    draw=draw,
)
