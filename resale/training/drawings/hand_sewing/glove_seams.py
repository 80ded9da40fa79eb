"""Seams of gloves: cut through and seen end-on, and the same seam from outside."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import stitch
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.materials import tile
from resale.training.drawings.palette import (
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Ref, Value, path, polyline, rect, smooth

WIDE = Answer("wide", "Wide or overlocked inside")
NARROW = Answer("inside", "Narrow, inside")
EDGE = Answer("prix", "Edge on edge, by machine")
HAND = Answer("by_hand", "Sewn by hand")
OFFERED = {1: (WIDE, EDGE, HAND), 2: (WIDE, NARROW, EDGE, HAND), 3: (WIDE, NARROW, EDGE, HAND)}
STANDS_OFF = {1: 0.66, 2: 0.5, 3: 0.36}
HIDES = ("#8a5a3a", "#4f4a47", "#7a3f38", "#a8774a")
DEEP = {"wide": 46.0, "inside": 22.0}
"""How far the edges stand inwards."""

MIDDLE, FACE_Y, THICK = 92.0, 104.0, 13.0
LEFT, RIGHT, TOP, LOW = 196.0, 348.0, 34.0, 200.0
EVERY = 12.0
WHY = {
    "wide": "A wide edge stands inside with threads round it: felt by every finger.",
    "inside": "A narrow even edge inside, and outside only the groove: fine on thin lined pairs.",
    "prix": "Both raw edges lie on each other outside, sewn through with stitches as even as "
    "print: a fine machine.",
    "by_hand": "Both raw edges lie on each other outside, and each stitch stands a little apart "
    "with a small slant: a hand.",
}


def _layer(points: list[Point], named: str) -> Node:
    return path(
        polyline(points, closed=True),
        fill=Ref("tile-leather", as_url=True),
        stroke=INK,
        stroke_width=MEDIUM,
        stroke_linejoin="round",
        class_=f"layer {named}",
    )


def _section(truth: str, thread: str) -> list[Node]:
    """Two pieces that meet: their edges turned in, or laid on each other outside."""
    y, t = FACE_Y, THICK
    turned_in = truth in DEEP
    reach = DEEP.get(truth, 24.0)
    way = 1 if turned_in else -1
    end = y + way * reach
    found = []
    for side in (-1, 1):
        near, far = MIDDLE + side * 1.0, MIDDLE + side * (1.0 + t)
        if turned_in:
            outline = [(MIDDLE + side * 78, y), (near, y), (near, end), (far, end), (far, y + t)]
            outline.append((MIDDLE + side * 78, y + t))
        else:
            outline = [(MIDDLE + side * 78, y), (far, y), (far, end), (near, end), (near, y + t)]
            outline.append((MIDDLE + side * 78, y + t))
        found.append(_layer(outline, "left" if side < 0 else "right"))
    at = y + way * (t + 5 if turned_in else 9)
    found.append(
        stitch(
            (MIDDLE - t - 4, at),
            (MIDDLE + t + 4, at),
            mix(thread, "#a8402a", 0.6),
            2.6,
            class_="held",
        )
    )
    if truth == "wide":
        for k in range(3):
            x = MIDDLE - t - 5
            low = end - 10 + 6 * k
            run = [(x, low - 12), (MIDDLE, low + 5), (MIDDLE + t + 5, low - 12)]
            found.append(
                path(smooth(run), fill="none", stroke=thread, stroke_width=1.8, class_="overlock")
            )
    return found


def _outside(truth: str, hide: str, thread: str, dice: Random) -> list[Node]:
    """The seam along a finger, from outside."""
    middle = (LEFT + RIGHT) / 2
    pen: dict[str, Value] = {"stroke": INK, "stroke_width": MEDIUM}
    found: list[Node] = [
        rect(LEFT, TOP, RIGHT - LEFT, LOW - TOP, rx=10, fill=hide, class_="finger", **pen)
    ]
    if truth in DEEP:
        found += [
            path(
                f"M{middle + off:g} {TOP:g}V{LOW:g}",
                stroke=tint,
                stroke_width=wide,
                fill="none",
                class_="groove",
            )
            for off, tint, wide in ((0.0, shade(hide, 0.55), 4.0), (-4.0, shade(hide, -0.25), 2.0))
        ]
        return found
    for side in (-1, 1):
        found.append(
            rect(
                middle - 12 if side < 0 else middle,
                TOP,
                12,
                LOW - TOP,
                fill=shade(hide, -0.14 if side < 0 else 0.1),
                stroke=INK,
                stroke_width=1.1,
                class_="edge",
            )
        )
    y = TOP + 6
    by_hand = truth == "by_hand"
    while y < LOW - 8:
        lean = dice.uniform(2.5, 5.0) if by_hand else 0.0
        reach = dice.uniform(9, 12) if by_hand else 0.0
        if by_hand:
            ends = ((middle - reach, y), (middle + reach, y + lean))
        else:
            ends = ((middle - 6, y), (middle - 6, y + EVERY * 0.7))
        found.append(stitch(*ends, thread, 2.2, class_="stitch"))
        y += dice.uniform(0.75, 1.3) * EVERY if by_hand else EVERY
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw a seam of a glove, cut through and from outside.

    Parameters
    ----------
    level : int
        1 offers three seams; 2 and 3 four, the thread more and more like the leather.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    hide = HIDES[dice.randrange(len(HIDES))]
    thread = mix(hide, "#fffdf8", STANDS_OFF[level])
    return Drawn(
        question="How is this glove sewn?",
        title="A seam of a glove, twice",
        description="To the left a seam of a glove cut across, its outside above; to the right the "
        "same seam along a finger, from outside.",
        body=[
            *_section(truth, thread),
            *_outside(truth, hide, thread, dice),
            label((MIDDLE, 24), "cut across", text_anchor="middle", fill=SOFT_INK),
            label(((LEFT + RIGHT) / 2, 24), "from outside", text_anchor="middle", fill=SOFT_INK),
            label((14, 66), "outside", font_size=11, fill=SOFT_INK),
            label((14, 166), "the hand", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((MIDDLE, FACE_Y + (26 if truth in DEEP else -6)), 34, 40),
            shown_ring(((LEFT + RIGHT) / 2, 116), 28, 70),
            note((180, 232), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(tile("leather", tint=hide),),
        answers=answers,
        caution="Thick even thread outside may be a machine's saddle stitch: look for the slant.",
        height=242,
    )


FAMILY = Family(
    id="glove_seams",
    name="Seams of gloves",
    about="Tell seams inside from edges on edges, and a machine's line from a hand's.",
    zone="fingers",
    signal_ids=("glove_seam",),
    draw=draw,
)
