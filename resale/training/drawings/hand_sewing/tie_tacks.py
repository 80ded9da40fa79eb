"""The back of a tie: what holds it together, and whether it may give."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect, smooth

NONE = Answer("none", "Stiff seam, no tack")
ONE = Answer("one", "A tack, and an ordinary seam")
SLIP = Answer("slip", "Tacks and a loose slip thread")
ANSWERS = (NONE, ONE, SLIP)
SILKS = ("#7a4a5a", "#3f5a78", "#4f6a55", "#8a5a3c", "#5b5470")
STANDS_OFF = {1: 0.75, 2: 0.55, 3: 0.36}
"""How far the thread is from the silk."""

SEAM_TOP, SEAM_LOW = 36.0, 172.0
MIDDLE = 150.0
WHY = {
    "none": "A straight chain of machine stitches and no bar where the edges part: it cannot give, "
    "and breaks or puckers.",
    "one": "A bar tack holds the corner at the broad end; the seam above is even and stiff.",
    "slip": "Bars at both ends, and between them one long thread that ends in a loose loop: "
    "pulled, it gathers, and let go it gives. The loop is meant and never cut.",
}


def _back(silk: str) -> list[Node]:
    """The broad end from behind, its point down: two edges that meet, and the tip's lining."""
    tip: Point = (MIDDLE, 254)
    left, right = (MIDDLE - 62, 196.0), (MIDDLE + 62, 196.0)
    top_left, top_right = (MIDDLE - 34, -4.0), (MIDDLE + 34, -4.0)
    outline = [top_left, left, tip, right, top_right]
    lining = [(MIDDLE, SEAM_LOW + 8), (MIDDLE - 55, 197), (MIDDLE, 247), (MIDDLE + 55, 197)]
    return [
        path(
            polyline(outline, closed=True),
            fill=filled("main"),
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
            class_="silk",
        ),
        path(
            polyline(lining, closed=True),
            fill=shade(silk, -0.3),
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="tip",
        ),
        path(
            smooth([(MIDDLE + 3, -4), (MIDDLE + 2, 80), (MIDDLE, SEAM_LOW + 8)]),
            fill="none",
            stroke=INK,
            stroke_width=MEDIUM,
            class_="meet",
        ),
    ]


def _bar(y: float, thread: str) -> list[Node]:
    """A bar tack: a few threads across, whipped round and round."""
    parts = [
        rect(
            MIDDLE - 13,
            y - 2.6,
            26,
            5.2,
            rx=2.4,
            fill=thread,
            class_="tack",
            stroke=INK,
            stroke_width=0.6,
        )
    ]
    parts += [
        line((x, y - 4), (x + 2, y + 4), stroke=shade(thread, 0.35), stroke_width=0.9)
        for x in (MIDDLE - 11 + 3 * k for k in range(8))
    ]
    return parts


def _machine(thread: str) -> list[Node]:
    """Even stitches right along the seam, ladder-like."""
    found: list[Node] = []
    for k in range(23):
        y = SEAM_TOP - 30 + 8.2 * k
        if y > SEAM_LOW:
            break
        found.append(
            stitch((MIDDLE - 4, y), (MIDDLE + 4, y + 3.4), thread, 2.0, class_="stitch chain")
        )
    return found


def _slip(thread: str, dice: Random) -> list[Node]:
    """Long slack stitches from side to side, and the loop at the end."""
    found: list[Node] = []
    y, side = SEAM_TOP, 1
    while y < SEAM_LOW - 22:
        step = dice.uniform(17, 24)
        found.append(
            stitch(
                (MIDDLE - 5 * side, y),
                (MIDDLE + 5 * side, y + step * 0.86),
                thread,
                1.7,
                class_="stitch slip",
            )
        )
        y, side = y + step, -side
    swing = dice.uniform(14, 24)
    loop = [
        (MIDDLE + 2, SEAM_LOW + 6),
        (MIDDLE + swing, SEAM_LOW + 26),
        (MIDDLE + 6, SEAM_LOW + 44),
        (MIDDLE - 6, SEAM_LOW + 24),
        (MIDDLE - 1, SEAM_LOW + 6),
    ]
    for width, tint in ((3.2, INK), (1.9, thread)):
        found.append(
            path(
                smooth(loop),
                fill="none",
                stroke=tint,
                stroke_width=width,
                class_="slip-loop" if tint == thread else "under",
            )
        )
    return found


def _keeper(silk: str) -> Node:
    """The loop of silk that takes up the narrow end."""
    return rect(
        MIDDLE - 40, 62, 80, 18, rx=2, fill=shade(silk, 0.16), stroke=INK, stroke_width=MEDIUM
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw the back of a tie's broad end.

    Parameters
    ----------
    level : int
        At higher levels the thread is more like the silk; at 3 a loop hides part of the seam.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    silk = SILKS[dice.randrange(len(SILKS))]
    thread = mix(silk, "#fffdf8", STANDS_OFF[level])
    work = _slip(thread, dice) if truth == "slip" else _machine(thread)
    if truth != "none":
        work += _bar(SEAM_LOW + 8, thread)
    if truth == "slip":
        work += _bar(20, thread)
    hidden = [_keeper(silk)] if level == 3 else []
    return Drawn(
        question="What holds the back of this tie?",
        title="The back of a tie",
        description="The broad end of a tie from behind, its point down, where both edges meet in "
        "the middle.",
        body=[
            *_back(silk),
            *work,
            *hidden,
            label((350, 24), "from behind", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((MIDDLE, SEAM_LOW + (26 if truth == "slip" else 8)), 34, 36),
            shown_ring((MIDDLE, 116), 14, 34),
            note((350, 254), words_of(ANSWERS, truth).lower(), text_anchor="end", font_size=13),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", silk, twill=True, strength=0.14),),
        answers=ANSWERS,
        caution="A label sewn over the seam may hide a tack: look above it.",
    )


FAMILY = Family(
    id="tie_tacks",
    name="Back of a tie",
    about="Find bar tacks and the slip thread, and leave the loose loop alone.",
    zone="inside",
    signal_ids=("tie_tack",),
    draw=draw,
)
