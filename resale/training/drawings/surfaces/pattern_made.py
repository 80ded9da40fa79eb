"""A pattern printed on the cloth or woven into it, told by the turned-back corner and the steps."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    THREAD,
    arrow_line,
    label,
    mix,
    note,
    shade,
)
from resale.training.drawings.svg import Node, Point, path, polyline, rect, smooth

PLAIN = Answer("plain", "No pattern")
PRINTED = Answer("printed", "Printed")
WOVEN = Answer("woven_in", "Woven or knitted in")
ANSWERS = (PRINTED, WOVEN, PLAIN)
GHOST = {1: 0.0, 2: 0.22, 3: 0.5}
"""How much of a print comes through to the back of thin cloth."""

STEP = {1: 6.0, 2: 4.5, 3: 3.2}
"""Thread by thread, a woven outline goes in steps of this size."""

FACE = (14.0, 14.0, 232.0, 182.0)
WHY = {
    "plain": "One colour on both sides: the lines are the weave of the cloth, not a pattern.",
    "printed": "Smooth outlines, and the back is paler than the face: the colour lies on the face.",
    "woven_in": "The outline goes in small steps from thread to thread, and the back has it as "
    "strongly as the face.",
}


def _leaf(at: Point, size: float) -> list[Point]:
    x, y = at
    half = [(0, -1), (0.45, -0.55), (0.62, 0), (0.4, 0.6), (0, 1)]
    right = [(x + size * a * 0.8, y + size * b) for a, b in half]
    return [*right, *((x - (a - x), b) for a, b in right[-2:0:-1])]


def _stepped(outline: list[Point], step: float) -> list[Point]:
    """The same outline in whole threads."""
    found: list[Point] = []
    ring = [*outline, outline[0]]
    for (x1, y1), (x2, y2) in pairwise(ring):
        count = max(int(max(abs(x2 - x1), abs(y2 - y1)) / step), 1)
        for k in range(count):
            t = k / count
            a, b = (
                round((x1 + (x2 - x1) * t) / step) * step,
                round((y1 + (y2 - y1) * t) / step) * step,
            )
            if found and found[-1] != (a, b):
                found.append((a, found[-1][1]))
            if not found or found[-1] != (a, b):
                found.append((a, b))
    if found[-1][1] != found[0][1] and found[-1][0] != found[0][0]:
        found.append((found[0][0], found[-1][1]))
    return found


def _motif(at: Point, size: float, tint: str, step: float | None, side: str) -> Node:
    outline = _leaf(at, size)
    d = polyline(_stepped(outline, step), closed=True) if step else smooth(outline, closed=True)
    return path(d, fill=tint, class_=f"motif {side}")


def draw(level: int, dice: Random) -> Drawn:
    """Draw a piece of cloth under a glass, and its corner turned back.

    Parameters
    ----------
    level : int
        1 has coarse steps and a pale back; at 3 steps are fine and a print comes half through.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    ground = CLOTHS[dice.choice(sorted(CLOTHS))]
    tint = mix(ground, dice.choice(("#5a2233", "#1f3a5c", "#274d33")), 0.75)
    x, y, wide, high = FACE
    behind = shade(ground, -0.12)
    body: list[Node] = [
        rect(x, y, wide, high, fill=ground, stroke=INK, stroke_width=MEDIUM, class_="face")
    ]
    back_at = (300.0, 105.0)
    body.append(
        rect(256, y, 90, high, fill=behind, stroke=INK, stroke_width=MEDIUM, class_="back-cloth")
    )
    if truth != "plain":
        step = STEP[level] if truth == "woven_in" else None
        size = dice.uniform(34, 42)
        places = [(70.0, 62.0), (186.0, 66.0), (128.0, 146.0)]
        body += [_motif(at, size, tint, step, "front") for at in places]
        back = tint if truth == "woven_in" else mix(behind, tint, GHOST[level])
        if truth == "woven_in" or GHOST[level]:
            body.append(_motif(back_at, size, back, step, "back"))
    else:
        thread = shade(ground, 0.12)
        for k in range(1, 26):
            a = x + wide * k / 26
            body.append(
                path(f"M{a:.2f} {y + 2:.2f}V{y + high - 2:.2f}", stroke=thread, stroke_width=0.8)
            )
    words = words_of(ANSWERS, truth)
    return Drawn(
        question="How is the pattern made?",
        title="A piece of cloth under a glass",
        description="A piece of cloth, large as under a glass: its face, and beside it the back of "
        "the same piece.",
        body=[
            *body,
            label((130, 212), "face", text_anchor="middle", fill=SOFT_INK),
            label((301, 212), "back", text_anchor="middle", fill=SOFT_INK),
        ],
        shown=[
            arrow_line((238, 105), (264, 105)),
            note((180, 236), words.lower(), text_anchor="middle", font_size=14, fill=THREAD),
        ],
        truth=truth,
        why=WHY[truth],
        answers=ANSWERS,
        caution="Thin cloth lets a print show through to the back: look at the outline too.",
        height=246,
    )


FAMILY = Family(
    id="pattern_made",
    name="Printed or woven in",
    about="Tell a print from a woven pattern by its outline and its back.",
    zone="cloth",
    signal_ids=("pattern_make",),
    draw=draw,
)
