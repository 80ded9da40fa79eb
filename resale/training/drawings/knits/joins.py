"""How a neckband is put on: overlocked, chained, or linked loop for loop."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
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
from resale.training.drawings.surfaces.loops import loops
from resale.training.drawings.svg import Node, Point, group, line, path, polyline, rect, smooth

LOCKED = Answer("overlocked", "Overlocked ridge")
CHAIN = Answer("chain", "Flat chain seam")
LINKED = Answer("linked", "Linked loop for loop")
ANSWERS = (LOCKED, CHAIN, LINKED)
COLUMNS = {1: 14, 2: 18, 3: 23}
APART = {1: 0.5, 2: 0.34, 3: 0.2}
"""How far the sewing thread stands off from the yarn."""

LEFT, RIGHT, TOP, LOW, JOIN = 12.0, 348.0, 14.0, 214.0, 104.0
WHY = {
    "overlocked": "A ridge stands up: both edges were cut and held together by threads that go "
    "round them.",
    "chain": "A chain of thread runs along the join and takes no notice of the loops: some it "
    "catches, some it splits.",
    "linked": "Each loop of the band hangs in one loop of the body, like the teeth of a comb: one "
    "stitch for each column.",
}


def _band(columns: int, colour: str) -> list[Node]:
    """A rib: every other column stands forward."""
    wide = (RIGHT - LEFT) / columns
    high = wide * 0.78
    rows = int((JOIN - TOP) / high) + 2
    corner: Point = (LEFT, JOIN - rows * high)
    hollows = [
        rect(LEFT + (k + 0.98) * wide, TOP, wide * 1.04, JOIN - TOP, fill=INK, fill_opacity=0.22)
        for k in range(0, columns, 2)
    ]
    return [*loops(corner, (columns, rows), (wide, high), colour), *hollows]


def _body(columns: int, colour: str) -> list[Node]:
    wide = (RIGHT - LEFT) / columns
    high = wide * 0.78
    return loops((LEFT, JOIN), (columns, int((LOW - JOIN) / high) + 2), (wide, high), colour)


def _linked(columns: int, thread: str) -> list[Node]:
    """One small loop of thread for each column, right on its middle."""
    wide = (RIGHT - LEFT) / columns
    found: list[Node] = []
    for k in range(columns):
        x = LEFT + (k + 0.5) * wide
        run = [
            (x - wide * 0.46, JOIN + 1),
            (x - wide * 0.16, JOIN - wide * 0.3),
            (x, JOIN + wide * 0.2),
            (x + wide * 0.16, JOIN - wide * 0.3),
            (x + wide * 0.46, JOIN + 1),
        ]
        for width, tint, named in ((wide * 0.27, INK, ""), (wide * 0.18, thread, "tooth")):
            found.append(
                path(
                    smooth(run),
                    fill="none",
                    stroke=tint,
                    stroke_width=width,
                    stroke_linecap="round",
                    **({"class_": named} if named else {}),
                )
            )
    return found


def _chained(columns: int, thread: str, dice: Random) -> list[Node]:
    """A chain whose links keep a step of their own."""
    wide = (RIGHT - LEFT) / columns
    step = wide * dice.choice((1.37, 1.43, 1.62))
    found: list[Node] = [
        rect(LEFT, JOIN - wide * 0.5, RIGHT - LEFT, wide, fill=INK, fill_opacity=0.16)
    ]
    x = LEFT + step * dice.random()
    while x < RIGHT:
        link = [
            (x, JOIN),
            (x + step * 0.5, JOIN - wide * 0.3),
            (x + step * 1.1, JOIN),
            (x + step * 0.5, JOIN + wide * 0.3),
        ]
        for width, tint, named in ((wide * 0.26, INK, ""), (wide * 0.17, thread, "link")):
            found.append(
                path(
                    smooth(link, closed=True),
                    fill="none",
                    stroke=tint,
                    stroke_width=width,
                    **({"class_": named} if named else {}),
                )
            )
        x += step
    return found


def _overlocked(columns: int, colour: str, thread: str, dice: Random) -> list[Node]:
    """A ridge with threads that go round it, and two straight lines of needle thread."""
    wide = (RIGHT - LEFT) / columns
    high = wide * 0.95 + 10
    ridge = [
        rect(LEFT - 6, JOIN - high / 2 + 4, RIGHT - LEFT + 12, high, fill=INK, fill_opacity=0.3),
        rect(
            LEFT - 6,
            JOIN - high / 2,
            RIGHT - LEFT + 12,
            high,
            fill=shade(colour, -0.15),
            stroke=INK,
            stroke_width=MEDIUM,
            class_="ridge",
        ),
    ]
    step = 9.0 + dice.random()
    for k in range(int((RIGHT - LEFT) / step) + 1):
        x = LEFT + k * step
        up, down = JOIN - high / 2 - 2, JOIN + high / 2 + 1
        run = [(x, down), (x + step * 0.2, up), (x + step * 0.62, up), (x + step * 0.9, down)]
        ridge.append(
            path(smooth(run), fill="none", stroke=thread, stroke_width=2.0, class_="round-the-edge")
        )
    ridge.append(
        line(
            (LEFT, JOIN + high / 2 - 3),
            (RIGHT, JOIN + high / 2 - 3),
            stroke=thread,
            stroke_width=2.0,
            stroke_dasharray="7 2.4",
        )
    )
    return ridge


def draw(level: int, dice: Random) -> Drawn:
    """Draw where band and body of a jumper meet, from inside.

    Parameters
    ----------
    level : int
        At higher levels the knitting is finer and the thread more like the yarn.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    thread = mix(colour, "#fffdf8" if dice.random() < 0.6 else INK, APART[level])
    columns = COLUMNS[level]
    if truth == "linked":
        join = _linked(columns, thread)
    elif truth == "chain":
        join = _chained(columns, thread, dice)
    else:
        join = _overlocked(columns, colour, thread, dice)
    window = rect(LEFT, TOP, RIGHT - LEFT, LOW - TOP)
    return Drawn(
        question="How is the neckband put on?",
        title="Where a neckband meets the body of a jumper",
        description="The neck of a jumper turned out: the rib of the band above, plain knitting of "
        "the body below, and the line where they meet.",
        body=[
            group(
                rect(LEFT, TOP, RIGHT - LEFT, LOW - TOP, fill=shade(colour, 0.5)),
                *_band(columns, colour),
                *_body(columns, colour),
                *join,
                clip_path=clipped("knit"),
            ),
            path(
                polyline([(LEFT, TOP), (RIGHT, TOP), (RIGHT, LOW), (LEFT, LOW)], closed=True),
                fill="none",
                stroke=INK,
                stroke_width=MEDIUM,
            ),
            label((RIGHT, 232), "turned out", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((180, JOIN), 96, 26),
            note((LEFT, 234), words_of(ANSWERS, truth).lower(), font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("knit", window),),
        answers=ANSWERS,
        caution="A taped ridge is tidy, and still a ridge.",
        height=246,
    )


FAMILY = Family(
    id="knit_joins",
    name="How a neckband is joined",
    about="Tell linking loop for loop from a chain seam and from an overlocked ridge.",
    zone="collar",
    signal_ids=("knit_neck",),
    draw=draw,
)
