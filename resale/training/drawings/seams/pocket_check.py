"""A checked pocket on a checked front: whether the lines run through its edges."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, group, line, path, rect, turned

LEFT, TOP, RIGHT, BOTTOM = 6.0, 8.0, 354.0, 256.0
POCKET_LEFT, POCKET_RIGHT, POCKET_TOP, SHOULDER, POINT = 108.0, 252.0, 62.0, 196.0, 224.0
MIDDLE: Point = (180.0, 143.0)

MET = Answer("met", "Meets on all sides")
OFF = Answer("off", "Does not meet")
UP = Answer("up", "Misses up and down: steps at the side edges")
SIDEWAYS = Answer("sideways", "Misses sideways: steps at the top edge")
BOTH = Answer("both", "Misses both ways")
SLANT = Answer("slant", "Cut on the slant on purpose")
OFFERED = {1: (MET, OFF), 2: (MET, UP, SIDEWAYS), 3: (MET, UP, SIDEWAYS, BOTH, SLANT)}

REPEATS = {1: (44, 54), 2: (34, 40), 3: (26, 31)}
# Part of the repeat by which the pocket is out.
OUT_BY = {1: (0.34, 0.5), 2: (0.24, 0.36), 3: (0.17, 0.27)}
GROUNDS = ("#ece3d2", "#e2e0d6", "#e8dccb")
LINES = (("#647a8f", "#a4493a"), ("#6d8068", "#8a5b3f"), ("#80697a", "#4f6b73"))

POCKET = (
    f"M{POCKET_LEFT} {POCKET_TOP}L{POCKET_RIGHT} {POCKET_TOP}L{POCKET_RIGHT} {SHOULDER}"
    f"L{MIDDLE[0]} {POINT}L{POCKET_LEFT} {SHOULDER}Z"
)


def _check(
    repeat: float, start: Point, colours: tuple[str, str], side: str, tilt: float
) -> list[Node]:
    """Bands and fine lines of a check, past the edges of what is seen."""
    parts: list[Node] = []
    reach = 270.0
    for step in range(-16, 20):
        for way, colour, width, shift in (
            ("v", colours[0], 0.26, 0.0),
            ("h", colours[0], 0.26, 0.0),
            ("v", colours[1], 0.05, 0.5),
            ("h", colours[1], 0.05, 0.5),
        ):
            at = start[0 if way == "v" else 1] + (step + shift) * repeat
            ends = ((at, MIDDLE[1] - reach), (at, MIDDLE[1] + reach))
            if way == "h":
                ends = ((MIDDLE[0] - reach, at), (MIDDLE[0] + reach, at))
            if abs(at - MIDDLE[0 if way == "v" else 1]) > reach:
                continue
            first, last = (turned(end, tilt, MIDDLE) for end in ends)
            name = ("band" if shift == 0 else "fine") + f" {way} {side}"
            parts.append(
                line(
                    first,
                    last,
                    stroke=colour,
                    stroke_width=width * repeat,
                    stroke_opacity=0.5 if shift == 0 else 0.9,
                    class_=name,
                )
            )
    return parts


def _choose(level: int, dice: Random) -> tuple[str, float, float]:
    """The truth and how far the pocket is out sideways and up, as parts of the repeat."""
    truth = dice.choice(OFFERED[level]).id
    across, up = (dice.choice((-1, 1)) * dice.uniform(*OUT_BY[level]) for _ in range(2))
    moved = {
        "met": (0.0, 0.0),
        "slant": (across, up),
        "up": (0.0, up),
        "sideways": (across, 0.0),
        "off": (across, up),
        "both": (across, up),
    }
    return truth, *moved[truth]


def _shown(truth: str) -> list[Node]:
    sides = [shown_ring((x, 128), 13, 44) for x in (POCKET_LEFT, POCKET_RIGHT)]
    top = [shown_ring((MIDDLE[0], POCKET_TOP), 52, 12)]
    words = {
        "met": "runs through",
        "off": "steps all round",
        "up": "steps here",
        "sideways": "steps here",
        "both": "steps both ways",
        "slant": "laid at an angle",
    }[truth]
    rings = {
        "met": [],
        "slant": [],
        "up": sides,
        "sideways": top,
        "off": sides + top,
        "both": sides + top,
    }[truth]
    return [*rings, note((MIDDLE[0], 40), words, text_anchor="middle", font_size=14)]


WHY = {
    "met": "Bands and fine lines run on over the side edges and over the top edge.",
    "off": "Bands of the pocket start beside those of the front, at the sides and at the top.",
    "up": "Over the top edge the lines run on; at both side edges the level lines step.",
    "sideways": "At the side edges the lines run on; over the top edge the upright lines step.",
    "both": "The level lines step at the sides and the upright ones at the top.",
    "slant": "The whole check of the pocket is turned: a style, not a miss.",
}


def draw(level: int, dice: Random) -> Drawn:
    """Draw a patch pocket on a checked front.

    Parameters
    ----------
    level : int
        1 asks whether the check meets; 2 also which way it is off; 3 adds both ways and a pocket
        cut aslant, in a finer check.
    dice : Random
        Chance of this exercise.
    """
    truth, across, up = _choose(level, dice)
    repeat = float(dice.randint(*REPEATS[level]))
    ground, colours = dice.choice(GROUNDS), dice.choice(LINES)
    start: Point = (dice.uniform(0, repeat), dice.uniform(0, repeat))
    moved: Point = (start[0] + across * repeat, start[1] + up * repeat)
    inner = (
        f"M{POCKET_LEFT + 5} {POCKET_TOP + 18}V{SHOULDER - 3}L{MIDDLE[0]} {POINT - 6}"
        f"L{POCKET_RIGHT - 5} {SHOULDER - 3}V{POCKET_TOP + 18}Z"
    )
    body = [
        group(
            rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, fill=filled("ground")),
            *_check(repeat, start, colours, "front", 0.0),
            clip_path=clipped("front"),
        ),
        path(POCKET, fill=INK, fill_opacity=0.2, transform="translate(2.5 3)"),
        group(
            path(POCKET, fill=filled("ground")),
            *_check(repeat, moved, colours, "pocket", 45.0 if truth == "slant" else 0.0),
            clip_path=clipped("pocket"),
        ),
        path(
            POCKET,
            fill="none",
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="pocket-edge",
        ),
        path(
            inner,
            fill="none",
            stroke=shade(ground, 0.62),
            stroke_width=1.1,
            stroke_dasharray="4 2.6",
        ),
        rect(
            LEFT,
            TOP,
            RIGHT - LEFT,
            BOTTOM - TOP,
            rx=4,
            fill="none",
            stroke=SOFT_INK,
            stroke_width=0.8,
        ),
    ]
    if level == 1:
        body.append(
            # Below the point: at the top or the sides it would hide the very check that is judged.
            label(
                (MIDDLE[0], POINT + 20),
                "pocket",
                text_anchor="middle",
                stroke=ground,
                stroke_width=4,
                paint_order="stroke",
            )
        )
    return Drawn(
        question="Does the check meet at the pocket?",
        title="A checked pocket on a checked front",
        description="A breast pocket sewn on the front of a checked shirt; the check of the "
        "pocket and that of the front can be followed across its edges.",
        body=body,
        shown=_shown(truth),
        truth=truth,
        why=WHY[truth],
        definitions=(
            weave("ground", ground, strength=0.05),
            clip("front", rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, rx=4)),
            clip("pocket", path(POCKET)),
        ),
        answers=OFFERED[level],
    )


FAMILY = Family(
    id="pocket_check",
    name="Check at the pocket",
    about="See whether a check runs through the edges of a pocket, and where it misses.",
    zone="front",
    signal_ids=("shirt_match_pocket", "pattern_pockets"),
    draw=draw,
)
