"""A lock and what lies beside it: whether the key is the one, and whether it opens."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    BRASS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, circle, group, line, path, polyline, rect

SHUT = Answer("locked_shut", "Shut, cannot be opened")
NO_KEY = Answer("no_key", "Works, key lost")
WITH_KEY = Answer("with_key", "Locks, key here")
NO_LOCK = Answer("no_lock", "No lock")
OFFERED = {
    1: (WITH_KEY, NO_KEY, NO_LOCK),
    2: (WITH_KEY, NO_KEY, SHUT, NO_LOCK),
    3: (WITH_KEY, NO_KEY, SHUT, NO_LOCK),
}
WHY = {
    "locked_shut": "The catch is down and no key with its number is there: nobody can look inside, "
    "so it goes to the lead.",
    "no_key": "The catch stands open, so it can be worked, but no key with its number is there.",
    "with_key": "The number on the key is the number on the lock. Try it both ways all the same: "
    "it "
    "must lock and unlock.",
    "no_lock": "A loop and a hook hold the flap; what hangs there has no keyhole, so there is no "
    "lock to open.",
}


def _bag(hide: str) -> list[Node]:
    dark = shade(hide, 0.3)
    return [
        path("M92 44C92 6 208 6 208 44", fill="none", stroke=INK, stroke_width=13),
        path("M92 44C92 6 208 6 208 44", fill="none", stroke=dark, stroke_width=9),
        rect(36, 44, 228, 150, rx=12, fill=hide, stroke=INK, stroke_width=BOLD),
        path(
            "M36 56Q36 44 48 44H252Q264 44 264 56V112Q150 150 36 112Z",
            fill=shade(hide, 0.08),
            stroke=INK,
            stroke_width=BOLD,
        ),
        path(
            "M44 58Q44 52 52 52H248Q256 52 256 58V108Q150 142 44 108Z",
            fill="none",
            stroke=shade(hide, -0.4),
            stroke_width=1.2,
            stroke_dasharray="5 4",
        ),
    ]


def _lock(number: str, *, shut: bool) -> list[Node]:
    """The lock's plate with its number; the catch down in it, or standing up beside it."""
    catch = (
        [(138, 104), (162, 104), (162, 124), (138, 124)]
        if shut
        else [(138, 84), (162, 84), (166, 106), (134, 106)]
    )
    return [
        rect(122, 112, 56, 54, rx=5, fill=BRASS, stroke=INK, stroke_width=BOLD, class_="plate"),
        path(
            polyline(catch, closed=True),
            fill=shade(BRASS, 0.18),
            stroke=INK,
            stroke_width=MEDIUM,
            class_="catch-down" if shut else "catch-up",
        ),
        circle((150, 136), 4, fill=INK, class_="keyhole"),
        path("M148 138H152L153.4 148H146.6Z", fill=INK),
        label(
            (150, 161),
            number,
            text_anchor="middle",
            font_size=11,
            font_weight="bold",
            class_="lock-number",
        ),
    ]


def _key(number: str, y: float) -> list[Node]:
    brass = shade(BRASS, -0.1)
    shaft = polyline(
        [
            (290, y + 14),
            (294, y + 14),
            (294, y + 44),
            (302, y + 44),
            (302, y + 48),
            (294, y + 48),
            (294, y + 52),
            (300, y + 52),
            (300, y + 56),
            (290, y + 56),
        ],
        closed=True,
    )
    return [
        group(
            path(shaft, fill=brass, stroke=INK, stroke_width=1.2),
            circle((292, y), 18, fill=brass, stroke=INK, stroke_width=MEDIUM, class_="key"),
            circle((292, y - 11), 3, fill="#f6f1e7", stroke=INK, stroke_width=1),
            label(
                (292, y + 8),
                number,
                text_anchor="middle",
                font_size=11,
                font_weight="bold",
                class_="key-number",
            ),
        )
    ]


def _other(dice: Random, number: str, level: int) -> str:
    """Another key's number: quite another one, or the same figures in another order."""
    if level == 3 and number[1] != number[2]:
        return number[0] + number[2] + number[1]
    while True:
        other = str(dice.randint(100, 999))
        if other != number:
            return other


def draw(level: int, dice: Random) -> Drawn:
    """Draw a bag with what closes it, and a key, another's key or none.

    Parameters
    ----------
    level : int
        1 has the key or none; 2 a shut lock and keys of others; 3 keys whose number is nearly the
        same, and an ornament that looks like a lock.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    hide = dice.choice(("#8a5a3a", "#6f4630", "#4f5b4a", "#5a3f4a"))
    number = str(dice.choice([n for n in range(112, 989) if len(set(str(n))) == 3]))
    body: list[Node] = _bag(hide)
    strange = level > 1 and dice.random() < (0.5 if level == 2 else 0.85)
    keys = [number] if truth == "with_key" else []
    if truth in {"no_key", "locked_shut"} and strange:
        keys = [_other(dice, number, level)]
    if truth == "with_key" and strange:
        keys.append(_other(dice, number, level))
        dice.shuffle(keys)
    if truth == "no_lock":
        body += [
            path(
                "M140 104H160V138Q150 150 140 138Z",
                fill=shade(hide, 0.25),
                stroke=INK,
                stroke_width=MEDIUM,
                class_="hook",
            ),
            circle((150, 128), 6, fill=BRASS, stroke=INK, stroke_width=MEDIUM),
        ]
        if level == 3:
            body += [
                circle(
                    (150, 160), 13, fill=BRASS, stroke=INK, stroke_width=MEDIUM, class_="ornament"
                ),
                line((150, 146), (150, 134), stroke=INK, stroke_width=2),
            ]
    else:
        body += _lock(
            number, shut=truth == "locked_shut" or (truth == "with_key" and dice.random() < 0.5)
        )
    for k, one in enumerate(keys):
        body += _key(one, 72 + 84 * k)
    words = words_of(answers, truth)
    rings = [shown_ring((150, 140), 42, 40)]
    rings += [shown_ring((292, 72 + 84 * k), 26, 26) for k, one in enumerate(keys) if one == number]
    return Drawn(
        question="What do you enter for lock and keys?",
        title="A bag and what lies beside it",
        description="A bag from the front with what closes it, and beside it whatever keys came "
        "with "
        "it. Lock and keys bear numbers where they have any.",
        body=[
            *body,
            label((352, 250), "keys as they came", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[*rings, note((150, 226), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=WHY[truth],
        answers=answers,
        caution="Never force a lock, and never reach blind into what was locked.",
    )


FAMILY = Family(
    id="lock_key",
    name="Lock and keys",
    about="See whether a lock can be worked, and whether the key is its own.",
    zone="hardware",
    signal_ids=("lock_keys",),
    draw=draw,
)
