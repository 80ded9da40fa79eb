"""Marks under the arm: from outside, and with the sleeve turned inside out."""

from __future__ import annotations

from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    FINE,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, group, path, polyline, smooth

STIFF = Answer("stiff", "Stiff and yellow")
SHADOW = Answer("shadow", "A clear shadow")
TRACE = Answer("trace", "A trace inside only")
CLEAN = Answer("clean", "Clean")
ANSWERS = (STIFF, SHADOW, TRACE, CLEAN)
PLAIN = {
    "stiff": {1: 0.7, 2: 0.6, 3: 0.5},
    "shadow": {1: 0.42, 2: 0.34, 3: 0.25},
    "trace": {1: 0.34, 2: 0.26, 3: 0.18},
}
"""How far the mark is from the colour of the cloth."""

AGED = {1: 0.0, 2: 0.5, 3: 0.9}
"""How often clean cloth is yellowed evenly all over by a drawer or old detergent."""

CLOTH = ("#f2efe6", "#e4eaef", "#e9e6ef")
SWEAT, DRAWER = "#a98a35", "#d9c27c"
WIDTH, HIGH, TOP = 158.0, 170.0, 34.0
LEFT, RIGHT = 14.0, 188.0
PIT = (66.0, 78.0)
"""Where armhole and side seam meet, from the corner of a picture."""

WHY = {
    "stiff": "Yellow right through, with a hard rim and creases that stay: salt and soap have set "
    "in the threads, and washing rarely moves them.",
    "shadow": "A half moon under the arm, seen from outside: whoever lifts an arm shows it.",
    "trace": "Nothing outside, and a faint half moon inside: only the wearer knows of it.",
    "clean": "No half moon on either side.",
}
AGED_WHY = (
    "The yellow is the same all over, on both sides: the drawer or old detergent, and no half moon "
    "under the arm."
)


def _piece(corner: Point, name: str, inside: bool) -> list[Node]:
    """Body and sleeve laid flat, with the seam of the armhole and that of the side."""
    x, y = corner
    px, py = x + PIT[0], y + PIT[1]
    arm = smooth([(px, py), (px + 15, py - 22), (px + 19, py - 52), (px + 16, y)])
    side = smooth([(px, py), (px + 8, py + 34), (px + 7, y + HIGH)])
    parts: list[Node] = [path(_outline(corner), fill=filled("main"), class_=f"cloth {name}")]
    for d in (arm, *((side,) if inside else ())):
        parts.append(path(d, fill="none", stroke=INK, stroke_width=MEDIUM))
        if inside:
            parts.append(
                path(d, fill="none", stroke=SOFT_INK, stroke_width=7, stroke_dasharray="1 3")
            )
    return parts


def _outline(corner: Point) -> str:
    x, y = corner
    px, py = x + PIT[0], y + PIT[1]
    points = [
        (x, y + 34),
        (x + 44, y + 8),
        (px + 16, y),
        (x + WIDTH, y - 4),
        (x + WIDTH, y + HIGH),
        (px - 1, y + HIGH),
        (px + 1, py + 34),
        (px - 1, py + 8),
        (px - 8, py + 3),
        (x + 12, py + 18),
    ]
    return polyline(points, closed=True)


def _mark(truth: str, corner: Point, colour: str, dice: Random) -> list[Node]:
    """A half moon round the armhole; where it is stiff, with a hard rim and creases."""
    at = (corner[0] + PIT[0] + 8, corner[1] + PIT[1] + 4)
    outer = blob(dice, at, dice.uniform(36, 41), 0.1, count=16)
    inner = [(at[0] + (x - at[0]) * 0.72, at[1] + (y - at[1]) * 0.72) for x, y in outer]
    stiff = truth == "stiff"
    rim = shade(colour, 0.3) if stiff else shade(colour, 0.05)
    parts = [
        path(
            smooth(outer, closed=True),
            fill=colour,
            stroke=rim,
            stroke_width=2.2 if stiff else FINE,
            class_="mark",
        ),
        path(smooth(inner, closed=True), fill=shade(colour, 0.07), fill_opacity=0.6),
    ]
    for k in range(6 if stiff else 0):
        run = [(at[0] + 36 * t, at[1] + 6 * k - 12 + dice.uniform(-3, 3)) for t in (-0.7, 0, 0.7)]
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke=shade(colour, 0.38),
                stroke_width=FINE,
                class_="crease",
            )
        )
    return parts


def draw(level: int, dice: Random) -> Drawn:
    """Draw the underarm of a shirt from outside and from inside.

    Parameters
    ----------
    level : int
        At higher levels marks are fainter, and clean cloth may be yellow all over.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    cloth = CLOTH[dice.randrange(len(CLOTH))]
    aged = truth == "clean" and dice.random() < AGED[level]
    ground = mix(cloth, DRAWER, 0.5) if aged else cloth
    corners = {"outside": (LEFT, TOP), "inside": (RIGHT, TOP)}
    body: list[Node] = []
    for name, corner in corners.items():
        body += _piece(corner, name, name == "inside")
        if truth not in {"clean", "trace"} or (truth == "trace" and name == "inside"):
            tint = mix(cloth, SWEAT, PLAIN[truth][level])
            body.append(
                group(
                    *_mark(truth, corner, tint, dice),
                    clip_path=clipped(name),
                    class_=f"on {name}",
                )
            )
        body.append(path(_outline(corner), fill="none", stroke=INK, stroke_width=BOLD))
        middle = (corner[0] + WIDTH / 2, 24)
        body.append(label(middle, name, text_anchor="middle", fill=SOFT_INK))
    look = corners["inside" if truth in {"trace", "clean"} else "outside"]
    said = words_of(ANSWERS, truth).lower()
    return Drawn(
        question="What do you enter for the underarm of this shirt?",
        title="The underarm of a shirt, twice",
        description="Where sleeve and side meet under the arm: to the left from outside, to the "
        "right with the sleeve turned inside out.",
        body=body,
        shown=[
            shown_ring((look[0] + PIT[0] + 8, look[1] + PIT[1] + 4), 48, 46),
            note((180, 228), said, text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=AGED_WHY if aged else WHY[truth],
        definitions=(
            weave("main", ground, strength=0.05),
            *(clip(name, path(_outline(corner))) for name, corner in corners.items()),
        ),
        answers=ANSWERS,
        caution="A damp shirt hides marks: let it dry. Gloves on for what is crusted.",
        height=238,
    )


FAMILY = Family(
    id="sweat",
    name="Marks under the arm",
    about="Tell a trace inside from a shadow that shows, and both from cloth that yellowed evenly.",
    zone="wear",
    signal_ids=("sweat_mark",),
    draw=draw,
)
