"""A corner of a tablecloth from behind: overlocked, hemmed, mitred, or drawn by hand."""

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
from resale.training.drawings.svg import (
    Node,
    Point,
    Value,
    ellipse,
    line,
    path,
    polyline,
    rect,
    smooth,
)

LOCKED = Answer("overlocked", "Overlocked")
PLAIN = Answer("machine", "Machine hem, corner folded over")
MITRED = Answer("mitred", "Mitred corner")
DRAWN = Answer("by_hand", "Drawn threads, by hand")
ANSWERS = (LOCKED, PLAIN, MITRED, DRAWN)
LINENS = ("#ece4d2", "#dfe3dc", "#e6dccb", "#d8dde4")
FAINT = {1: 0.62, 2: 0.44, 3: 0.3}
"""How far thread and folds stand off from the cloth."""

HEM, APART = 34.0, 11.0
LEFT, TOP, RIGHT, LOW = -4.0, -4.0, 300.0, 206.0
WHY = {
    "overlocked": "Threads run round a cut edge, and nothing was folded: the cheapest edge.",
    "machine": "Two hems laid one over the other at the corner, a straight machine line on each: "
    "as usual, and four layers thick where they cross.",
    "mitred": "A slant seam runs from the corner inwards: the spare cloth was cut away, and it "
    "lies flat on the table.",
    "by_hand": "Threads of the cloth were drawn out along the hem, and those left are bound in "
    "bundles, each drawn a little aside: winters of needlework.",
}


def _outline() -> str:
    return polyline([(LEFT, TOP), (RIGHT, TOP), (RIGHT, LOW), (LEFT, LOW)], closed=True)


def _run(start: Point, end: Point, colour: str, named: str = "stitch") -> list[Node]:
    """A straight line of machine stitches."""
    (x1, y1), (x2, y2) = start, end
    length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
    count = int(length / APART)
    dx, dy = (x2 - x1) / length, (y2 - y1) / length
    return [
        stitch(
            (x1 + dx * APART * (k + 0.14), y1 + dy * APART * (k + 0.14)),
            (x1 + dx * APART * (k + 0.86), y1 + dy * APART * (k + 0.86)),
            colour,
            1.8,
            class_=named,
        )
        for k in range(count)
    ]


def _overlocked(colour: str) -> list[Node]:
    """Loops round both edges, and a tail of the chain at the corner."""
    found: list[Node] = []
    for k in range(34):
        x = 4 + 8.6 * k
        found.append(
            _loop([(x, LOW + 2), (x + 4, LOW - 8), (x, LOW - 15), (x - 3, LOW - 7)], colour)
        )
    for k in range(23):
        y = 4 + 8.6 * k
        found.append(
            _loop([(RIGHT + 2, y), (RIGHT - 8, y + 4), (RIGHT - 15, y), (RIGHT - 7, y - 3)], colour)
        )
    tail = [(RIGHT, LOW), (RIGHT + 9, LOW + 8), (RIGHT + 10, LOW + 18), (RIGHT + 19, LOW + 24)]
    return [*found, path(smooth(tail), fill="none", stroke=colour, stroke_width=2.2)]


def _loop(points: list[Point], colour: str) -> Node:
    return path(
        smooth(points, closed=True), fill="none", stroke=colour, stroke_width=1.5, class_="overlock"
    )


def _hems(cloth: str, ink: str, *, mitre: bool) -> list[Node]:
    """Both hems as they are seen from behind, laid over or mitred at the corner."""
    inner = (RIGHT - HEM, LOW - HEM)
    over = shade(cloth, 0.07)
    low: list[Point] = [(LEFT, LOW - HEM), (RIGHT, LOW - HEM), (RIGHT, LOW), (LEFT, LOW)]
    up: list[Point] = [(inner[0], TOP), (RIGHT, TOP), (RIGHT, LOW), (inner[0], LOW)]
    if mitre:
        low[1], up[3] = inner, inner
    pen: dict[str, Value] = {"stroke": ink, "stroke_width": MEDIUM, "stroke_linejoin": "round"}
    return [
        path(polyline(up, closed=True), fill=over, class_="hem up", **pen),
        path(polyline(low, closed=True), fill=over, class_="hem low", **pen),
    ]


def _machine(cloth: str, ink: str, thread: str) -> list[Node]:
    return [
        *_hems(cloth, ink, mitre=False),
        *_run((RIGHT - HEM + 6, 2), (RIGHT - HEM + 6, LOW - HEM - 2), thread),
        *_run((2, LOW - HEM + 6), (RIGHT - 2, LOW - HEM + 6), thread),
    ]


def _mitred(cloth: str, ink: str, thread: str) -> list[Node]:
    inner = (RIGHT - HEM + 6, LOW - HEM + 6)
    return [
        *_hems(cloth, ink, mitre=True),
        line((RIGHT - HEM, LOW - HEM), (RIGHT, LOW), stroke=ink, stroke_width=BOLD, class_="mitre"),
        *_run((RIGHT - HEM + 6, 2), inner, thread),
        *_run((2, LOW - HEM + 6), inner, thread),
    ]


def _drawn(dice: Random, cloth: str, ink: str, thread: str) -> list[Node]:
    """A mitred hem whose inner line is a ladder of bundles."""
    gap, wide = 15.0, 9.6
    parts = _hems(cloth, ink, mitre=True)
    parts.append(
        line(
            (RIGHT - HEM, LOW - HEM), (RIGHT, LOW), stroke=ink, stroke_width=MEDIUM, class_="mitre"
        )
    )
    dark = mix(cloth, INK, 0.72)
    x0, y0 = RIGHT - HEM - gap, LOW - HEM - gap
    parts += [
        rect(LEFT, y0, x0 - LEFT, gap, fill=dark, class_="drawn"),
        rect(x0, TOP, gap, y0 - TOP, fill=dark, class_="drawn"),
    ]
    for k in range(int((x0 - LEFT) / wide)):
        x, lean = LEFT + wide * (k + 0.5), dice.uniform(-1.7, 1.7)
        parts += _bundle((x - lean, y0), (x + lean, y0 + gap), cloth, thread)
    for k in range(int((y0 - TOP) / wide)):
        y, lean = TOP + wide * (k + 0.5), dice.uniform(-1.7, 1.7)
        parts += _bundle((x0, y - lean), (x0 + gap, y + lean), cloth, thread)
    parts.append(rect(x0, y0, gap, gap, fill=dark, stroke=cloth, stroke_width=2.4))
    return parts


def _bundle(start: Point, end: Point, cloth: str, thread: str) -> list[Node]:
    """Threads of the cloth, bound together at the hem."""
    (x1, y1), (x2, y2) = start, end
    upright = abs(y2 - y1) > abs(x2 - x1)
    a, b = (2.6, 0.0) if upright else (0.0, 2.6)
    runs = [
        polyline([(x1 + a * k, y1 + b * k), (x2 + 0.45 * a * k, y2 + 0.45 * b * k)])
        for k in (-1, 0, 1)
    ]
    rx, ry = (3.6, 1.6) if upright else (1.6, 3.6)
    return [
        path("".join(runs), stroke=cloth, stroke_width=1.7, fill="none", class_="bundle"),
        ellipse((x2, y2), rx, ry, fill=thread, class_="bound"),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the corner of a tablecloth.

    Parameters
    ----------
    level : int
        At higher levels folds and thread stand off less from the cloth.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    cloth = LINENS[dice.randrange(len(LINENS))]
    ink, thread = mix(cloth, INK, FAINT[level]), mix(cloth, SOFT_INK, FAINT[level] + 0.2)
    work = {
        "overlocked": lambda: _overlocked(thread),
        "machine": lambda: _machine(cloth, ink, thread),
        "mitred": lambda: _mitred(cloth, ink, thread),
        "by_hand": lambda: _drawn(dice, cloth, ink, thread),
    }[truth]()
    return Drawn(
        question="How are hem and corner made?",
        title="A corner of a tablecloth",
        description="The corner of a tablecloth turned over: the back of both hems, seen close.",
        body=[
            path(_outline(), fill=filled("main"), class_="cloth"),
            *work,
            path(_outline(), fill="none", stroke=INK, stroke_width=BOLD),
            label((350, 24), "behind", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((RIGHT - 20, LOW - 24), 50, 44),
            note((16, 240), words_of(ANSWERS, truth).lower(), font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", cloth, strength=0.08),),
        answers=ANSWERS,
        caution="Drawn threads by machine have holes that are all round and even.",
        height=252,
    )


FAMILY = Family(
    id="linen_hems",
    name="Hems and corners of linen",
    about="Tell overlocked, folded and mitred corners from threads drawn by hand.",
    zone="hem",
    signal_ids=("linen_hem",),
    draw=draw,
)
