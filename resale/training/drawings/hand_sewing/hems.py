"""A hem from both faces: raw, stitched through, blind by machine, or by hand."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, line, path, rect, smooth

RAW = Answer("raw", "Raw or only overlocked")
THROUGH = Answer("topstitched", "Stitched through")
BLIND = Answer("blind", "Blind by machine")
HAND = Answer("by_hand", "By hand, or taped")
OFFERED = {
    1: (RAW, THROUGH, HAND),
    2: (RAW, THROUGH, BLIND, HAND),
    3: (RAW, THROUGH, BLIND, HAND),
}
STANDS_OFF = {1: 0.62, 2: 0.46, 3: 0.32}
"""How far the thread is from the cloth."""

TOP, LOW, FOLD = 34.0, 206.0, 142.0
OUTSIDE, INSIDE = (12.0, 174.0), (186.0, 348.0)
EVERY = 22.0
"""Distance of two pricks of a blind machine hem; a hand's vary about it."""

WHY = {
    "raw": "No fold at all: the cloth ends at its edge, bare or with thread round it.",
    "topstitched": "One line of stitches runs right through and shows outside: sound and plain.",
    "blind": "Outside even pricks at equal steps, inside a chain that can be pulled out: a "
    "machine made to hide itself.",
    "by_hand": "Outside next to nothing, and inside small slanting stitches that are never quite "
    "even: somebody sat over it.",
}


def _window(span: tuple[float, float], name: str) -> list[Node]:
    left, right = span
    return [
        rect(left, TOP, right - left, LOW - TOP, fill=filled(name), class_=f"cloth {name}"),
        path(
            f"M{left:g} {LOW:g}V{TOP:g}H{right:g}V{LOW:g}",
            fill="none",
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        line((left, LOW), (right, LOW), stroke=INK, stroke_width=BOLD),
    ]


def _turned_up(cloth: str) -> list[Node]:
    """The cloth folded up inside."""
    left, right = INSIDE
    return [
        rect(left, FOLD, right - left, LOW - FOLD, fill=shade(cloth, 0.14), class_="turned-up"),
        line((left, FOLD), (right, FOLD), stroke=INK, stroke_width=MEDIUM),
    ]


def _row(span: tuple[float, float], y: float, thread: str, named: str) -> list[Node]:
    """Machine stitches from side to side."""
    left, right = span
    return [
        stitch((left + x + 2, y), (left + x + 8, y), thread, 2.0, class_=named)
        for x in (10.6 * k for k in range(int((right - left) / 10.6)))
    ]


def _locked(thread: str) -> list[Node]:
    """Thread round the edge, as seen on either face."""
    found: list[Node] = []
    for left, right in (OUTSIDE, INSIDE):
        for k in range(int((right - left) / 8)):
            x = left + 3 + 8 * k
            run = [(x, LOW + 2), (x + 4, LOW - 8), (x, LOW - 16), (x - 3, LOW - 8)]
            found.append(
                path(
                    smooth(run, closed=True),
                    fill="none",
                    stroke=thread,
                    stroke_width=1.5,
                    class_="overlock",
                )
            )
    return found


def _pricks(places: list[float], thread: str) -> list[Node]:
    return [circle((OUTSIDE[0] + x, FOLD + 2), 1.5, fill=thread, class_="prick") for x in places]


def _blind(cloth: str, thread: str) -> list[Node]:
    """Even pricks outside; inside a chain that reaches up at each of them."""
    places = [EVERY * (k + 0.5) for k in range(7)]
    found = [*_turned_up(cloth), *_pricks(places, thread)]
    for k in range(28):
        x = INSIDE[0] + 4 + 5.6 * k
        up = 9.0 if k % 4 == 1 else 0.0
        link = [(x, FOLD + 6), (x + 2.6, FOLD + 3 - up), (x + 5.4, FOLD + 6), (x + 2.6, FOLD + 9)]
        found.append(
            path(
                smooth(link, closed=True),
                fill="none",
                stroke=thread,
                stroke_width=1.4,
                class_="chain",
            )
        )
    return found


def _hand(cloth: str, thread: str, taped: bool, dice: Random) -> list[Node]:
    """Uneven slants inside, perhaps on a tape; outside hardly a prick here and there."""
    found = _turned_up(cloth)
    if taped:
        left, right = INSIDE
        found.append(
            rect(
                left,
                FOLD - 5,
                right - left,
                13,
                fill=mix(cloth, "#fffdf8", 0.5),
                stroke=INK,
                stroke_width=0.8,
                class_="tape",
            )
        )
    y = FOLD - (5 if taped else 0)
    places: list[float] = []
    x = 6.0
    while x < 150:
        reach, lean = dice.uniform(5, 9), dice.uniform(4, 7)
        start: Point = (INSIDE[0] + x, y + 3)
        found.append(stitch(start, (start[0] + lean, y - reach), thread, 1.7, class_="slant"))
        if dice.random() < 0.3:
            places.append(x)
        x += dice.uniform(8.5, 15)
    return [*found, *_pricks(places, mix(thread, cloth, 0.55))]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a hem from outside and from inside.

    Parameters
    ----------
    level : int
        1 offers three hems; 2 and 3 four, the thread more and more like the cloth.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    cloth = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    thread = mix(cloth, "#fffdf8" if dice.random() < 0.5 else INK, STANDS_OFF[level])
    if truth == "raw":
        work = _locked(thread)
    elif truth == "topstitched":
        rows = (FOLD + 8,) if dice.random() < 0.6 else (FOLD + 8, FOLD + 16)
        work = _turned_up(cloth)
        for y in rows:
            for span in (OUTSIDE, INSIDE):
                work += _row(span, y, thread, "through")
    elif truth == "blind":
        work = _blind(cloth, thread)
    else:
        work = _hand(cloth, thread, dice.random() < 0.4, dice)
    look = FOLD if truth != "raw" else LOW - 8
    middles = [(a + b) / 2 for a, b in (OUTSIDE, INSIDE)]
    return Drawn(
        question="How is this hem made?",
        title="A hem from both faces",
        description="The lower edge of a skirt seen close: to the left from outside, to the right "
        "the same place from inside.",
        body=[
            *_window(OUTSIDE, "face"),
            *_window(INSIDE, "back"),
            *work,
            label((middles[0], 24), "outside", text_anchor="middle", fill=SOFT_INK),
            label((middles[1], 24), "inside", text_anchor="middle", fill=SOFT_INK),
        ],
        shown=[
            *(shown_ring((x, look + 2), 74, 22) for x in middles),
            note((180, 244), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("face", cloth), weave("back", shade(cloth, 0.06))),
        answers=answers,
        caution="Jersey rightly shows two rows, and a raw edge was a fashion of some years.",
        height=254,
    )


FAMILY = Family(
    id="hems",
    name="How a hem is turned",
    about="Tell hems raw, stitched through, blind and by hand, by both faces.",
    zone="hem",
    signal_ids=("hem_make",),
    draw=draw,
)
