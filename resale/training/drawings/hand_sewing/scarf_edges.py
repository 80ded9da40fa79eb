"""The edge of a scarf from its face: cut, hemmed flat, rolled by machine, or rolled by hand."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.section import beside, sampled
from resale.training.drawings.svg import Node, Point, path, polyline, smooth

CUT = Answer("cut", "Cut and overlocked")
FLAT = Answer("flat", "Flat machine hem")
MACHINE = Answer("machine_roll", "Rolled by machine")
HAND = Answer("hand_roll", "Rolled by hand")
ANSWERS = (CUT, FLAT, MACHINE, HAND)
SILKS = ("#b4655a", "#6f8fa0", "#8a7a9c", "#b7924e", "#6f8f7a")
THICK = {1: {"machine_roll": 10.0, "hand_roll": 21.0}, 2: {"machine_roll": 12.0, "hand_roll": 18.0}}
THICK[3] = {"machine_roll": 14.0, "hand_roll": 16.0}
"""How thick the roll is: at the hardest level both are nearly alike, and stitches must tell."""

THREAD_OFF = {1: 0.6, 2: 0.45, 3: 0.32}
"""How far the thread stands off from the silk."""

EVERY = 11.0
"""Distance of two machine stitches; a hand's vary about it."""

WHY = {
    "cut": "The cloth was cut, and threads run round its edge: the shortest way.",
    "flat": "Folded over flat and stitched straight through, corner and all: sound and plain.",
    "machine_roll": "A thin hard roll, and a thread of even stitches that runs along it: a "
    "machine with a foot for it.",
    "hand_roll": "A plump round roll whose stitches slant, sit unevenly and hardly show, and a "
    "sharp corner: half an hour's needle.",
}
CORNER: Point = (286.0, 196.0)
BEGIN: Point = (-4.0, 176.0)
END: Point = (268.0, -4.0)


def _sides(dice: Random) -> tuple[list[Point], list[Point]]:
    """The outer edge: from the left to the corner, and from there up."""
    x, y = CORNER
    low = [BEGIN, (90, 184 + dice.uniform(-3, 3)), (190, 192 + dice.uniform(-3, 3)), (x, y)]
    up = [(x, y), (280, 130 + dice.uniform(-6, 6)), (276, 60), END]
    return sampled(low), sampled(up)


def _along(run: list[Point], every: float) -> list[tuple[Point, Point]]:
    """Points along a line at even steps, each with the direction there."""
    found, left = [], every / 2
    for (x1, y1), (x2, y2) in pairwise(run):
        length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        while left <= length and length:
            t = left / length
            way = ((x2 - x1) / length, (y2 - y1) / length)
            found.append(((x1 + (x2 - x1) * t, y1 + (y2 - y1) * t), way))
            left += every
        left -= length
    return found


def _lie_along(run: list[Point], colour: str, every: float, part: float) -> list[Node]:
    """Stitches one after another along a line, all alike."""
    half = every * part / 2
    return [
        stitch(
            (x - dx * half, y - dy * half),
            (x + dx * half, y + dy * half),
            colour,
            1.9,
            class_="stitch along",
        )
        for (x, y), (dx, dy) in _along(run, every)
    ]


def _bite(dice: Random, run: list[Point], colour: str, reach: float) -> list[Node]:
    """Small slanting stitches where the roll meets the cloth, never quite even."""
    found: list[Node] = []
    for (x, y), (dx, dy) in _along(run, EVERY * 1.15):
        off, lean = dice.uniform(-4.2, 4.2), dice.uniform(0.4, 0.9)
        a, b = x + dx * off, y + dy * off
        long = reach * dice.uniform(0.7, 1.25)
        start = (a - dx * lean * long / 2, b - dy * lean * long / 2)
        end = (
            a + dx * lean * long / 2 + dy * long * 0.6,
            b + dy * lean * long / 2 - dx * long * 0.6,
        )
        found.append(stitch(start, end, colour, 1.6, class_="stitch bite"))
    return found


def _tube(run: list[Point], colour: str, thick: float) -> list[Node]:
    """A roll, lit from above."""
    middle = beside(run, -thick / 2)
    lit = beside(run, -thick * 0.68)
    pens = ((thick + 2.6, INK, "rim"), (thick, shade(colour, 0.06), "roll"))
    return [
        *(
            path(
                polyline(middle),
                fill="none",
                stroke=tint,
                stroke_width=wide,
                class_=name,
            )
            for wide, tint, name in pens
        ),
        path(
            polyline(lit),
            fill="none",
            stroke=shade(colour, -0.45),
            stroke_width=thick * 0.2,
            stroke_linejoin="round",
        ),
    ]


def _overlock(run: list[Point], colour: str) -> list[Node]:
    """Loops of thread round a cut edge, and a line of stitches inside."""
    loops = [
        path(
            smooth(
                [
                    (x + 2 * dy, y - 2 * dx),
                    (x + 9 * dy + 4 * dx, y - 9 * dx + 4 * dy),
                    (x + 16 * dy, y - 16 * dx),
                    (x + 9 * dy - 3 * dx, y - 9 * dx - 3 * dy),
                    (x - 2 * dy, y + 2 * dx),
                ]
            ),
            fill="none",
            stroke=colour,
            stroke_width=1.7,
            class_="overlock",
        )
        for (x, y), (dx, dy) in _along(run, 7.5)
    ]
    return [*loops, *_lie_along(beside(run, -16), colour, 7.5, 0.8)]


def _finish(
    truth: str, level: int, run: list[Point], colours: tuple[str, str], dice: Random
) -> list[Node]:
    """Finish one side of the scarf, in the colours of silk and thread."""
    silk, thread = colours
    outline = path(polyline(run), fill="none", stroke=INK, stroke_width=BOLD)
    if truth == "cut":
        return [outline, *_overlock(run, thread)]
    if truth == "flat":
        wide = 30.0
        fold = [path(polyline(beside(run, -wide)), fill="none", stroke=shade(silk, 0.4))]
        return [outline, *fold, *_lie_along(beside(run, -wide + 6), thread, EVERY, 0.72)]
    thick = THICK[level][truth]
    if truth == "machine_roll":
        line = beside(run, -thick * 0.5)
        return [*_tube(run, silk, thick), *_lie_along(line, thread, EVERY, 0.7)]
    return [*_tube(run, silk, thick), *_bite(dice, beside(run, -thick), thread, 6.0)]


def _figure(silk: str, dice: Random) -> list[Node]:
    """A printed border of leaves, to be seen that it is the face."""
    tint = mix(silk, "#fffdf8", 0.3)
    leaves = []
    for k in range(6):
        x, y = 16 + 42 * k + dice.uniform(-3, 3), 118 - 7 * (k % 2)
        leaf = [(x, y), (x + 12, y - 12), (x + 30, y - 14), (x + 20, y + 2), (x, y)]
        leaves.append(path(smooth(leaf), fill=tint))
    band = [path(f"M0 {y}L246 {y}", stroke=tint, stroke_width=2.2, fill="none") for y in (88, 136)]
    return [*band, *leaves]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a corner of a scarf.

    Parameters
    ----------
    level : int
        At higher levels thread and silk are more alike, and both rolls equally thick.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    silk = SILKS[dice.randrange(len(SILKS))]
    sides = _sides(dice)
    light = dice.random() < 0.5
    thread = mix(silk, "#fffdf8" if light else INK, THREAD_OFF[level])
    cloth = polyline([(-4, -4), *sides[0], *sides[1]], closed=True)
    edge = [one for side in sides for one in _finish(truth, level, side, (silk, thread), dice)]
    return Drawn(
        question="How is the edge of this scarf finished?",
        title="A corner of a printed scarf",
        description="The corner of a printed scarf, seen close from its face, with both edges.",
        body=[
            path(cloth, fill=filled("main"), stroke="none", class_="cloth"),
            *_figure(silk, dice),
            *edge,
            label((350, 24), "the face", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((150, 182), 62, 26),
            note((180, 244), words_of(ANSWERS, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", silk, strength=0.05),),
        answers=ANSWERS,
        caution="Which way a roll turns is a workroom's custom and proves nothing.",
        height=254,
    )


FAMILY = Family(
    id="scarf_edges",
    name="Edges of scarves",
    about="Tell a roll by hand from one by machine, and both from hems and cut edges.",
    zone="hem",
    signal_ids=("scarf_edge",),
    draw=draw,
)
