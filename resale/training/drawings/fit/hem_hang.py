"""A skirt on its hanger: whether the hem is even, and which way the cloth was cut."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped, filled
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
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
    Ref,
    Value,
    group,
    line,
    node,
    path,
    polyline,
    rect,
)

DROPPED = Answer("dropped", "Dropped in points")
SOILED = Answer("soiled", "Even, and soiled at the edge")
EVEN = Answer("even", "Clean and even")
ANSWERS = (DROPPED, SOILED, EVEN)
DROP = {1: 24.0, 2: 16.0, 3: 10.0}
"""How far the lowest point of a dropped hem hangs below the rest."""

DIRT = {1: 0.5, 2: 0.36, 3: 0.24}
MEANT = {1: 0.0, 2: 0.4, 3: 0.6}
"""How often an even hem dips on purpose, alike on both sides."""

WAIST_Y, HEM_Y, TOP_HALF, LOW_HALF, MIDDLE = 44.0, 212.0, 42.0, 116.0, 180.0
STEPS = 48
WHY = {
    "dropped": "It hangs lower in some places than in others, and not alike on both sides: where "
    "the cloth runs aslant it stretched by its own weight.",
    "soiled": "One even line, and street dirt along its edge: washed or cut off, both cost time.",
    "even": "One line, the same on both sides.",
}
MEANT_WHY = "The hem dips, and dips alike on both sides: it was cut so, and it is clean."


def _hem(truth: str, level: int, meant: bool, dice: Random) -> list[Point]:
    """The lower edge from left to right; dropped places hang where the cloth runs aslant."""
    side = dice.choice((-1, 1))
    drop = DROP[level]
    found = []
    for k in range(STEPS + 1):
        t = 2 * k / STEPS - 1
        x = MIDDLE + LOW_HALF * t
        y = HEM_Y - 9 * t * t
        if truth == "dropped":
            y += (
                drop
                * max(0.0, cos((t - side * 0.62) * pi * 1.7)) ** 2
                * (abs(t - side * 0.62) < 0.3)
            )
            y += (
                drop
                * 0.45
                * max(0.0, cos((t + side * 0.4) * pi * 2)) ** 2
                * (abs(t + side * 0.4) < 0.25)
            )
        elif meant:
            y += 20.0 * abs(t) ** 2.2
        found.append((x, y))
    return found


def _grain(colour: str, turn: float) -> Node:
    """Cloth with a stripe in it, so that it can be seen which way it was cut."""
    tint = shade(colour, 0.2)
    return node(
        "pattern",
        rect(0, 0, 12, 12, fill=colour),
        line((3, 0), (3, 12), stroke=tint, stroke_width=1.5, class_="stripe"),
        line((9, 0), (9, 12), stroke=shade(colour, -0.25), stroke_width=0.9),
        id=Ref("cloth-main"),
        width=12,
        height=12,
        patternUnits="userSpaceOnUse",
        patternTransform=f"rotate({turn:g})",
    )


def _folds(hem: list[Point], colour: str) -> list[Node]:
    """Soft folds from the waist, each to its place on the hem."""
    found: list[Node] = []
    for k in (8, 16, 24, 32, 40):
        x, y = hem[k]
        top = MIDDLE + (x - MIDDLE) * TOP_HALF / LOW_HALF
        found.append(
            path(
                f"M{top + (x - top) * 0.3:.1f} {WAIST_Y + (y - WAIST_Y) * 0.3:.1f}"
                f"L{x:.1f} {y - 5:.1f}",
                stroke=shade(colour, 0.35),
                stroke_width=1.3,
                stroke_opacity=0.55,
                fill="none",
            )
        )
    return found


def _dirt(hem: list[Point], colour: str, level: int, dice: Random) -> list[Node]:
    soil = mix(colour, "#4a3a28", DIRT[level])
    return [
        path(
            polyline(blob(dice, (x, y - dice.uniform(0, 3)), dice.uniform(5, 9), 0.4), closed=True),
            fill=soil,
            class_="soil",
        )
        for x, y in hem[3:-3:2]
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a skirt that hung for half a minute, and a straight edge below it.

    Parameters
    ----------
    level : int
        At higher levels it has dropped less, dirt is fainter, and some hems dip by design.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    meant = truth == "even" and dice.random() < MEANT[level]
    aslant = truth == "dropped" or dice.random() < 0.4
    hem = _hem(truth, level, meant, dice)
    top: list[Point] = [(MIDDLE + TOP_HALF, WAIST_Y), (MIDDLE - TOP_HALF, WAIST_Y)]
    outline = polyline([*hem, *top], closed=True)
    lowest = max(hem, key=lambda at: at[1])
    dirt = _dirt(hem, colour, level, dice) if truth == "soiled" else []
    words = words_of(ANSWERS, truth).lower()
    look = lowest if truth == "dropped" else hem[STEPS // 2]
    measured = [arrow_line((lowest[0], HEM_Y - 4), lowest)] if truth == "dropped" else []
    return Drawn(
        question="How is the hem of this skirt?",
        title="A skirt on a hanger",
        description="A wide skirt that has hung by its band for half a minute, with a straight "
        "rod below it to go by. A fine stripe shows which way the cloth was cut.",
        body=[
            *_hanger(),
            path(
                outline,
                fill=filled("main"),
                stroke=INK,
                stroke_width=BOLD,
                stroke_linejoin="round",
                class_="skirt",
            ),
            group(*_folds(hem, colour), *dirt, clip_path=clipped("skirt")),
            rect(
                MIDDLE - TOP_HALF - 2,
                WAIST_Y - 9,
                2 * TOP_HALF + 4,
                12,
                rx=2,
                fill=shade(colour, 0.14),
                stroke=INK,
                stroke_width=MEDIUM,
            ),
            line((30, 244), (330, 244), stroke=SOFT_INK, stroke_width=4, class_="rod"),
            label((350, 24), "hung for a while", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((look[0], look[1] - 4), 30 if truth == "dropped" else 108, 18),
            *measured,
            note((14, 264), words, font_size=14),
        ],
        truth=truth,
        why=MEANT_WHY if meant else WHY[truth],
        definitions=(_grain(colour, 45.0 if aslant else 0.0), clip("skirt", path(outline))),
        answers=ANSWERS,
        caution="Cloth cut on the slant drops for years: look again after a day on the hanger.",
        height=272,
    )


def _hanger() -> list[Node]:
    """A clip hanger, its hook up and a clip at each end of the band."""
    pen: dict[str, Value] = {"stroke": SOFT_INK, "stroke_width": 3}
    clips = [
        rect(x - 5, WAIST_Y - 20, 10, 20, rx=2, fill=SOFT_INK)
        for x in (MIDDLE - TOP_HALF + 8, MIDDLE + TOP_HALF - 8)
    ]
    turn = [
        (MIDDLE + 6 * cos(a), 8 + 6 * sin(a)) for a in (-pi + 1.5 * pi * k / 10 for k in range(11))
    ]
    return [
        line((MIDDLE - TOP_HALF, WAIST_Y - 18), (MIDDLE + TOP_HALF, WAIST_Y - 18), **pen),
        path(polyline([*turn, (MIDDLE, 26)]), fill="none", **pen),
        *clips,
    ]


FAMILY = Family(
    id="hem_hang",
    name="Hem of a hanging skirt",
    about="Tell a hem that dropped from one that dips by design, and see the slant of the cloth.",
    zone="wear",
    signal_ids=("hem_drop",),
    draw=draw,
)
