"""The edge of a hat's brim: rough, neat by machine, or bound and cut with care."""

from __future__ import annotations

from math import pi, sin
from random import Random

from resale.training.drawings.cloth import stitch
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
from resale.training.drawings.section import beside
from resale.training.drawings.svg import Node, Point, line, path, smooth

ROUGH = Answer("rough", "Raw, card or wavy")
MACHINE = Answer("machine", "Neat by machine")
FINE = Answer("fine", "Bound or cut with care")
ANSWERS = (ROUGH, MACHINE, FINE)
FELTS = ("#6b5a4a", "#4d5660", "#5c4a52", "#55604f")
WAVE = {1: 7.0, 2: 5.0, 3: 3.4}
"""How far a rough edge wanders."""

STANDS_OFF = {1: 0.62, 2: 0.46, 3: 0.32}
BARE = {1: 0.0, 2: 0.35, 3: 0.55}
"""How often a fine edge is cut clean and left without a binding."""

WHY = {
    "rough": "The line wanders and the cut stands open: it loses its shape in the first rain.",
    "machine": "A ribbon stitched on by machine, every stitch as long as the next: as usual.",
    "fine": "A narrow binding held by tiny stitches that hardly show: the line that the eye "
    "follows.",
}
CUT_WHY = (
    "No binding, and none is wanted: the cut is one even line at a slant right round, as on thick "
    "felt of fur."
)


def _line(wave: float, dice: Random) -> list[Point]:
    """The rim of the brim, from left to right; wave 0 is one clean curve."""
    found: list[Point] = []
    phase = dice.uniform(0, 2 * pi)
    for k in range(41):
        t = k / 40
        y = 176 + 34 * sin(pi * t)
        y += wave * sin(2 * pi * 2.6 * t + phase) + wave * 0.35 * dice.uniform(-1, 1)
        found.append((8 + 344 * t, y))
    return found


def _hat(rim: list[Point], felt: str) -> list[Node]:
    """Crown, ribbon and brim as they are seen from a little above."""
    brim = [(8, 176), (52, 140), (110, 122), (180, 116), (250, 122), (308, 140), (352, 176)]
    crown: list[Point] = [
        (112, 124),
        (116, 70),
        (132, 36),
        (168, 42),
        (196, 42),
        (228, 36),
        (244, 70),
        (248, 124),
    ]
    ribbon = smooth([(111, 104), (180, 116), (249, 104)]) + "L"
    ribbon += smooth([(248, 126), (180, 138), (112, 126)])[1:] + "Z"
    return [
        path(
            smooth(brim) + "L" + smooth(list(reversed(rim)))[1:] + "Z",
            fill=felt,
            stroke="none",
            class_="brim",
        ),
        path(smooth(brim), fill="none", stroke=INK, stroke_width=BOLD),
        path(
            smooth(crown) + "L" + smooth([(248, 124), (180, 136), (112, 124)])[1:] + "Z",
            fill=shade(felt, -0.08),
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
        ),
        path(ribbon, fill=shade(felt, 0.4), stroke=INK, stroke_width=MEDIUM),
        path(smooth(rim), fill="none", stroke=INK, stroke_width=BOLD, class_="rim-line"),
    ]


def _fluff(rim: list[Point], felt: str, dice: Random) -> list[Node]:
    """Fibres that stand out of an edge nobody finished."""
    return [
        line(
            (x, y),
            (x + dice.uniform(-3, 3), y + dice.uniform(3, 8)),
            stroke=shade(felt, 0.2),
            stroke_width=1.1,
            class_="fluff",
        )
        for x, y in rim[1:-1]
        for _ in range(2)
    ]


def _bound(rim: list[Point], felt: str, thread: str, wide: float, every: int) -> list[Node]:
    """A ribbon over the edge, and the stitches that hold it."""
    middle = beside(rim, -wide / 2)[1:-1]
    inner = beside(rim, -wide)
    pens = ((wide + 2.4, INK, "under"), (wide, shade(felt, 0.34), "ribbon"))
    band = [
        path(smooth(middle), fill="none", stroke=tint, stroke_width=thick, class_=named)
        for thick, tint, named in pens
    ]
    held = beside(inner, 3.0)
    stitches = [
        stitch(a, b, thread, 1.8, class_="stitch")
        for a, b in zip(held[1:-1:every], held[2::every], strict=False)
    ]
    return [*band, *stitches]


def _pricks(rim: list[Point], wide: float, thread: str, dice: Random) -> list[Node]:
    """Tiny stitches across the inner edge of a binding, never quite even."""
    inner = beside(rim, -wide)
    found = []
    for x, y in inner[1:-1]:
        off = dice.uniform(-2.4, 2.4)
        found.append(
            stitch((x + off, y - 1.4), (x + off + 1.2, y + 1.6), thread, 1.4, class_="stitch prick")
        )
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw a hat with the edge of its brim towards the eye.

    Parameters
    ----------
    level : int
        At higher levels a rough edge wanders less, thread is more like felt, and a fine edge may
        have no binding.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    felt = FELTS[dice.randrange(len(FELTS))]
    bare = truth == "fine" and dice.random() < BARE[level]
    thread = mix(shade(felt, 0.34), "#fffdf8", STANDS_OFF[level])
    rim = _line(WAVE[level] if truth == "rough" else 0.0, dice)
    work: list[Node] = []
    if truth == "rough":
        work = _fluff(rim, felt, dice)
    elif truth == "machine":
        work = _bound(rim, felt, thread, 15.0, 2)
    elif bare:
        work = [
            path(
                smooth(beside(rim, -2.6)),
                fill="none",
                stroke=shade(felt, -0.45),
                stroke_width=3.2,
                class_="slant",
            )
        ]
    else:
        work = [*_bound(rim, felt, thread, 7.0, 99), *_pricks(rim, 7.0, thread, dice)]
    return Drawn(
        question="How is the edge of this brim finished?",
        title="A felt hat from the front",
        description="A felt hat from the front and a little above, the edge of its brim towards "
        "the eye.",
        body=[
            *_hat(rim, felt),
            *work,
            label((14, 24), "a little from above", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((180, 204), 104, 26),
            note((180, 252), words_of(ANSWERS, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=CUT_WHY if bare else WHY[truth],
        answers=ANSWERS,
        caution="Felt whose age nobody knows is not rubbed or steamed: it may hold mercury.",
        height=262,
    )


FAMILY = Family(
    id="hat_edges",
    name="Edges of hats",
    about="Tell an edge that wanders from a machine's ribbon and from a fine binding or cut.",
    zone="brim",
    signal_ids=("hat_edge",),
    draw=draw,
)
