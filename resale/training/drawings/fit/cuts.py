"""How close a thing is cut: where the shoulder seam ends, and how far it stands off the body."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
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
)
from resale.training.drawings.svg import Node, Point, Value, path, polyline, smooth

CLOSE = Answer("close", "Close")
USUAL = Answer("usual", "As usual")
ROOMY = Answer("roomy", "Roomy")
ANSWERS = (CLOSE, USUAL, ROOMY)
DROP = {
    "close": {1: (-5, -3), 2: (-4, -2), 3: (-2, 0)},
    "usual": {1: (2, 4), 2: (3, 6), 3: (4, 7)},
    "roomy": {1: (28, 32), 2: (21, 26), 3: (15, 19)},
}
"""How far the seam ends beyond the bone of the shoulder, in units of the drawing."""

EASE = {"close": 5.0, "usual": 15.0, "roomy": 34.0}
"""How far the side stands off the body at the chest."""

MISLEAD = {1: 0.0, 2: 0.35, 3: 0.6}
"""How often it is shrunk or stretched, and looks closer or roomier than it was cut."""

MIDDLE, BONE, CHEST = 180.0, 56.0, 50.0
"""Of the dummy: half the width at the shoulder, and at the chest."""

WHY = {
    "close": "The seam sits on the bone of the shoulder and hardly a finger fits between cloth "
    "and chest.",
    "usual": "The seam ends at the bone or a little beyond, with a hand's breadth to spare.",
    "roomy": "The seam drops well off the shoulder and the side hangs clear: it was cut so.",
}
SHRUNK = " Folds that pull from the armhole say it shrank: the shoulder tells how it was cut."
BAGGED = " The waves at the hem say it was pulled out: the shoulder tells how it was cut."


def _dummy() -> list[Node]:
    """A dressmaker's dummy: neck, shoulders, chest and stand."""
    half = [(-13, 14), (-14, 32), (-BONE, 48), (-CHEST, 92), (-40, 150), (-48, 206)]
    left = [(MIDDLE + x, y) for x, y in half]
    right = [(MIDDLE - x, y) for x, y in reversed(half)]
    d = "M" + smooth(left)[1:] + "L" + smooth(right)[1:] + "Z"
    pen: dict[str, Value] = {"stroke": SOFT_INK, "stroke_width": MEDIUM}
    return [
        path(
            f"M{MIDDLE:g} 206L{MIDDLE:g} 256", stroke_linecap="round", **(pen | {"stroke_width": 6})
        ),
        path(f"M{MIDDLE - 34:g} 257L{MIDDLE + 34:g} 257", **(pen | {"stroke_width": 4})),
        path(d, fill="#e2d3b4", class_="dummy", **pen),
        path(
            polyline([(MIDDLE - 13, 14), (MIDDLE, 10), (MIDDLE + 13, 14)]),
            fill="#8a5a3a",
            **pen,
        ),
    ]


def _side(drop: float, ease: float, waves: float, sign: int) -> tuple[list[Point], list[Point]]:
    """Shoulder to hem on one side, and the sleeve."""
    tip: Point = (MIDDLE + sign * (BONE + drop), 48 + max(drop, 0) * 0.62)
    pit: Point = (MIDDLE + sign * (CHEST + ease), 96 + ease * 0.5)
    hem = [
        (MIDDLE + sign * (46 + ease), 150.0),
        (MIDDLE + sign * (50 + ease + waves), 186.0),
        (MIDDLE + sign * (50 + ease - waves), 212.0),
    ]
    body = [(MIDDLE + sign * 17, 33.0), tip, pit, *hem]
    sleeve = [
        tip,
        (tip[0] + sign * 20, tip[1] + 40),
        (tip[0] + sign * (30 + ease * 0.3), 150.0),
        (pit[0] + sign * (9 + ease * 0.1), 154.0),
        pit,
    ]
    return body, sleeve


def _garment(drop: float, ease: float, waves: float, colour: str) -> list[Node]:
    pen: dict[str, Value] = {
        "stroke": INK,
        "stroke_width": BOLD,
        "stroke_linejoin": "round",
        "fill_opacity": 0.86,
    }
    (left, left_arm), (right, right_arm) = (_side(drop, ease, waves, k) for k in (-1, 1))
    neck = smooth([(MIDDLE + 17, 33), (MIDDLE, 46), (MIDDLE - 17, 33)])
    body = (
        polyline(left[:3])
        + "L"
        + smooth(left[2:])[1:]
        + "L"
        + smooth(list(reversed(right[2:])))[1:]
        + "L"
        + polyline(list(reversed(right[:3])))[1:]
        + "L"
        + neck[1:]
        + "Z"
    )
    parts = [
        path(polyline(arm, closed=True), fill=shade(colour, 0.1), class_="sleeve", **pen)
        for arm in (left_arm, right_arm)
    ]
    parts.append(path(body, fill=filled("main"), class_="body", **pen))
    for run in (left, right):
        parts.append(
            path(
                smooth(
                    [run[1], ((run[1][0] + run[2][0]) / 2 - 3, (run[1][1] + run[2][1]) / 2), run[2]]
                ),
                fill="none",
                stroke=INK,
                stroke_width=MEDIUM,
                class_="armhole",
            )
        )
    return parts


def _pulls(colour: str) -> list[Node]:
    """Drag lines from the armhole across the chest."""
    return [
        path(
            smooth(
                [
                    (MIDDLE + k * 50, 92 + 8 * n),
                    (MIDDLE + k * 30, 96 + 9 * n),
                    (MIDDLE + k * 12, 95 + 10 * n),
                ]
            ),
            fill="none",
            stroke=mix(colour, INK, 0.5),
            stroke_width=1.2,
            class_="pull",
        )
        for k in (-1, 1)
        for n in range(3)
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a shirt on a dummy.

    Parameters
    ----------
    level : int
        At higher levels shoulders end nearer to each other, and some shrank or were stretched.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    drop, ease = dice.uniform(*DROP[truth][level]), EASE[truth]
    odd = truth != "close" and dice.random() < MISLEAD[level]
    shrunk = odd and truth == "usual"
    waves = 7.0 if odd and not shrunk else 0.0
    if shrunk:
        ease -= 9
    seam: Point = (MIDDLE + BONE + drop, 48 + max(drop, 0) * 0.62)
    bone: Point = (MIDDLE + BONE, 48.0)
    body = [*_dummy(), *_garment(drop, ease, waves, colour)]
    if shrunk:
        body += _pulls(colour)
    body.append(
        path(
            polyline([(bone[0], 20), (bone[0], 74)]),
            stroke=SOFT_INK,
            stroke_width=FINE * 1.5,
            stroke_dasharray="4 3",
            fill="none",
            class_="bone",
        )
    )
    return Drawn(
        question="How close is this shirt cut?",
        title="A shirt on a dummy",
        description="A shirt on a dressmaker's dummy, from the front. The dummy is seen through "
        "it, and a dashed line marks the bone of one shoulder.",
        body=[
            *body,
            label((bone[0] + 8, 22), "shoulder bone", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            arrow_line((bone[0], seam[1] + 22), (seam[0] + 0.1, seam[1] + 22)),
            arrow_line((MIDDLE + CHEST, 132), (MIDDLE + CHEST + ease, 132)),
            note((14, 252), words_of(ANSWERS, truth).lower(), font_size=14),
        ],
        truth=truth,
        why=WHY[truth] + (SHRUNK if shrunk else BAGGED if waves else ""),
        definitions=(weave("main", colour),),
        answers=ANSWERS,
        caution="A size too large is not roomy: what is cut roomy fits at the neck.",
    )


FAMILY = Family(
    id="cuts",
    name="How close it is cut",
    about="Tell close, usual and roomy by the drop of the shoulder, whatever washing did.",
    zone="whole",
    signal_ids=("cut",),
    draw=draw,
)
