"""The lining of a jacket, turned out: sound, marked, torn once, or in shreds."""

from __future__ import annotations

from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.materials import tile
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    LINING,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Ref, ellipse, group, path, polyline, smooth

SHREDDED = Answer("shredded", "Torn in several places")
TORN = Answer("one_tear", "One tear or slit")
WORN = Answer("worn", "Worn or marked, whole")
SOUND = Answer("sound", "Clean and whole")
ANSWERS = (SHREDDED, TORN, WORN, SOUND)
LONG = {1: 46.0, 2: 34.0, 3: 24.0}
"""Length of a slit on the sheet."""

MARK = {1: 0.4, 2: 0.28, 3: 0.18}
"""How far a dark neck stands off from the lining."""

SEAMS = ((132.0, 96.0), (228.0, 96.0), (124.0, 168.0), (236.0, 168.0), (178.0, 132.0))
"""Where linings give way: beside the armholes, the side seams and the pleat at the back."""

WHY = {
    "shredded": "It has gone in several places and its threads hang: a new lining, which costs "
    "more than most jackets bring.",
    "one_tear": "One slit beside a seam and sound cloth round it: some minutes with a needle.",
    "worn": "Dark and shiny at the neck and under the arms, and nowhere open: worn, and whole.",
    "sound": "Whole along every seam, and clean at the neck.",
}


def _outline() -> str:
    left: list[Point] = [(150, 26), (96, 44), (108, 92), (100, 120), (96, 232)]
    right: list[Point] = [(360 - x, y) for x, y in reversed(left)]
    return (
        smooth(left) + "L" + smooth(right)[1:] + "L" + smooth([right[-1], (180, 38), left[0]])[1:]
    )


def _jacket(colour: str, tint: str) -> list[Node]:
    """Both sleeves, the cloth at the hem and collar, and the lining with its pleat."""
    ink = shade(tint, 0.5)
    sleeves = [
        path(
            polyline([(180 + k * 84, 44), (180 + k * 128, 64), (180 + k * 150, 176)])
            + "L"
            + polyline([(180 + k * 112, 186), (180 + k * 80, 120), (180 + k * 72, 92)])[1:]
            + "Z",
            fill=shade(tint, 0.12),
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
        )
        for k in (-1, 1)
    ]
    collar: list[Point] = [(150, 26), (180, 16), (210, 26), (204, 40), (180, 46), (156, 40)]
    return [
        *sleeves,
        path(
            _outline() + "Z",
            fill=Ref("tile-lining", as_url=True),
            stroke=INK,
            stroke_width=BOLD,
            class_="lining",
        ),
        path(
            polyline([(96, 218), (264, 218), (264, 232), (96, 232)], closed=True),
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        path(polyline(collar, closed=True), fill=colour, stroke=INK, stroke_width=MEDIUM),
        path("M176 46L172 218M184 46L188 218", stroke=ink, stroke_width=1.1, fill="none"),
        *(
            path(
                smooth([(180 + k * 72, 92), (180 + k * 58, 150), (180 + k * 60, 218)]),
                stroke=ink,
                stroke_width=1.1,
                fill="none",
            )
            for k in (-1, 1)
        ),
    ]


def _slit(at: Point, long: float, colour: str, tint: str, dice: Random) -> list[Node]:
    """A slit along a seam: cloth behind it, edges that curl, threads across."""
    x, y = at
    half = long / 2
    gape = long * dice.uniform(0.13, 0.18)
    lean = dice.uniform(-5, 5)
    left = [(x - lean, y - half), (x - gape, y - half * 0.3), (x - gape * 0.8, y + half * 0.4)]
    right = [(x + gape * 0.7, y + half * 0.4), (x + gape, y - half * 0.3)]
    outline = [*left, (x + lean, y + half), *right]
    threads = [
        polyline([(x - gape * 0.8, y + half * t), (x + gape * 0.7, y + half * (t + 0.16))])
        for t in (-0.4, -0.1, 0.25)
    ]
    hang = [(x + lean, y + half), (x + lean + 3, y + half + 7), (x + lean - 2, y + half + 13)]
    return [
        path(
            smooth(outline, closed=True, tension=0.6),
            fill=colour,
            stroke=INK,
            stroke_width=1.3,
            class_="slit",
        ),
        path("".join(threads), stroke=shade(tint, -0.4), stroke_width=1.1, fill="none"),
        path(smooth(hang), stroke=shade(tint, 0.4), stroke_width=1.1, fill="none"),
    ]


def _marks(tint: str, level: int, dice: Random) -> list[Node]:
    """Dark at the neck and under both arms, with a gloss."""
    dark = mix(tint, "#4a3a28", MARK[level])
    places = (((180, 54), 33, 0.42), ((112, 102), 17, 1.5), ((248, 102), 17, 1.5))
    stains = [
        path(
            smooth(blob(dice, at, radius, 0.14, flat=flat), closed=True),
            fill=dark,
            fill_opacity=0.85,
            class_="worn",
        )
        for at, radius, flat in places
    ]
    return [*stains, ellipse((174, 50), 15, 3, fill=shade(tint, -0.5), fill_opacity=0.5)]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a jacket turned inside out, from behind.

    Parameters
    ----------
    level : int
        At higher levels slits are shorter and marks fainter.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    tint = mix(LINING, colour, 0.25)
    count = {"shredded": 3 + dice.randrange(2), "one_tear": 1}.get(truth, 0)
    places = dice.sample(SEAMS, count)
    over = [one for at in places for one in _slit(at, LONG[level], colour, tint, dice)]
    marked = truth == "worn" or (count and level > 1 and dice.random() < 0.5)
    rings = [shown_ring(at, 17, LONG[level] / 2 + 8) for at in places]
    if not rings:
        rings = [shown_ring((180, 50), 44, 22)]
    return Drawn(
        question="What state is the lining in?",
        title="A jacket turned inside out",
        description="A jacket turned inside out, from behind: its lining from neck to hem and both "
        "sleeves.",
        body=[
            *_jacket(colour, tint),
            group(*(_marks(tint, level, dice) if marked else ()), clip_path=clipped("back")),
            *over,
            label((350, 24), "turned out", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *rings,
            note((180, 256), words_of(ANSWERS, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(tile("lining", tint=tint), clip("back", path(_outline() + "Z"))),
        answers=ANSWERS,
        caution="Seams that gape with whole cloth on both sides are a quick stitch.",
    )


FAMILY = Family(
    id="lining_wear",
    name="State of a lining",
    about="Tell one slit from a lining that has gone, and both from marks on sound cloth.",
    zone="wear",
    signal_ids=("lining_state",),
    draw=draw,
)
