"""What shapes a bodice: gathers, nothing, darts, long seams, or bones."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
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
from resale.training.drawings.svg import Node, Point, Value, line, path, polyline, rect, smooth

ELASTIC = Answer("elastic", "Elastic or gathers")
NONE = Answer("none", "Nothing: hangs from the shoulder")
DARTS = Answer("darts", "Darts")
SEAMED = Answer("seamed", "Long seams over the bust")
BONED = Answer("boned", "Bones and a waist ribbon")
OFFERED = {
    1: (ELASTIC, NONE, DARTS),
    2: (ELASTIC, NONE, DARTS, SEAMED),
    3: (ELASTIC, NONE, DARTS, SEAMED, BONED),
}
FAINT = {1: 0.6, 2: 0.44, 3: 0.32}
"""How far seams stand off from the cloth."""

MIDDLE, NECK, BUST, WAIST, HEM = 180.0, 22.0, 96.0, 184.0, 232.0
WHY = {
    "elastic": "Many small gathers run into the waist: rubber or a thread draws it in, and it "
    "fits everybody a little.",
    "none": "No seam, dart or gather between shoulder and hem: it falls from the shoulder.",
    "darts": "Wedges of cloth are folded away and end in a point before the bust: shape for a "
    "body.",
    "seamed": "A long seam on each side runs over the bust to the waist and shapes all the way.",
    "boned": "Narrow channels stand in a row and a ribbon closes round the waist by itself: it "
    "stays up without a shoulder.",
}
SHAPED: list[Point] = [
    (-34, NECK),
    (-64, NECK + 8),
    (-58, 72),
    (-66, BUST),
    (-48, WAIST),
    (-74, HEM),
]
LOOSE: list[Point] = [
    (-34, NECK),
    (-64, NECK + 8),
    (-60, 72),
    (-68, BUST),
    (-74, WAIST),
    (-80, HEM),
]


def _outline(half: list[Point]) -> str:
    """Straight at the shoulders, and one soft line from there down each side."""
    left = [(MIDDLE + x, y) for x, y in half]
    right = [(MIDDLE - x, y) for x, y in reversed(half)]
    neck = [(MIDDLE + 22, NECK + 20), (MIDDLE, NECK + 30), (MIDDLE - 22, NECK + 20), left[0]]
    runs = [left[1:], right[:-1], [right[-1], *neck]]
    joined = "".join("L" + smooth(run)[1:] for run in runs)
    return "M" + joined[1:] + "L" + smooth(left[:2])[1:] + "Z"


def _pair(points: list[Point], colour: str, named: str, wide: float = MEDIUM) -> list[Node]:
    """The same line on both sides."""
    return [
        path(
            smooth([(MIDDLE + side * x, y) for x, y in points]),
            fill="none",
            stroke=colour,
            stroke_width=wide,
            class_=named,
        )
        for side in (-1, 1)
    ]


def _dart(foot: Point, tip: Point, wide: float, colour: str, way: str) -> list[Node]:
    """A wedge folded away: two lines that meet in a point, on both sides."""
    found: list[Node] = []
    across = (wide, 0.0) if way == "down" else (0.0, wide)
    for side in (-1, 1):
        a = (MIDDLE + side * (foot[0] - across[0]), foot[1] - across[1])
        b = (MIDDLE + side * (foot[0] + across[0]), foot[1] + across[1])
        point = (MIDDLE + side * tip[0], tip[1])
        found.append(
            path(
                polyline([a, point, b]),
                fill=colour,
                fill_opacity=0.22,
                stroke=colour,
                stroke_width=MEDIUM,
                stroke_linejoin="round",
                class_="dart",
            )
        )
    return found


def _gathers(colour: str, dice: Random) -> list[Node]:
    """Small folds that run into the waist from both sides."""
    found: list[Node] = [
        rect(MIDDLE - 49, WAIST - 5, 98, 10, fill=colour, fill_opacity=0.25, class_="waist")
    ]
    for k in range(17):
        x = MIDDLE - 46 + 5.75 * k
        out = (x - MIDDLE) * 0.16
        up, down = dice.uniform(12, 34), dice.uniform(12, 30)
        for end in ((x + out, WAIST - up), (x + out * 1.6, WAIST + down)):
            found.append(
                path(
                    smooth([(x, WAIST), ((x + end[0]) / 2 + 1, (WAIST + end[1]) / 2), end]),
                    fill="none",
                    stroke=colour,
                    stroke_width=1.2,
                    class_="gather",
                )
            )
    return found


def _bones(colour: str) -> list[Node]:
    """Channels side by side, and a ribbon with a hook that closes by itself."""
    found: list[Node] = []
    for x, top in ((-48, 78), (-28, 66), (0, 60), (28, 66), (48, 78)):
        foot = x * 0.76
        for off in (-3.6, 3.6):
            found.append(
                line(
                    (MIDDLE + x + off, top),
                    (MIDDLE + foot + off, WAIST + 6),
                    stroke=colour,
                    stroke_width=1.2,
                    class_="channel",
                )
            )
    ribbon: dict[str, Value] = {"fill": "#d9cfc0", "stroke": INK, "stroke_width": MEDIUM}
    found.append(rect(MIDDLE - 58, WAIST - 6, 54, 12, class_="ribbon", **ribbon))
    found.append(rect(MIDDLE + 4, WAIST - 6, 54, 12, class_="ribbon", **ribbon))
    found.append(
        path(
            polyline([(MIDDLE - 8, WAIST), (MIDDLE + 6, WAIST), (MIDDLE + 6, WAIST - 3)]),
            fill="none",
            stroke=INK,
            stroke_width=2,
        )
    )
    return found


def _shaped_by(truth: str, colour: str, dice: Random) -> list[Node]:
    if truth == "elastic":
        return _gathers(colour, dice)
    if truth == "darts":
        side = dice.random() < 0.5
        bust = _dart((61, BUST - 14), (34, BUST + 2), 7, colour, "across") if side else []
        return [*_dart((26, WAIST), (30, BUST + 12), 6, colour, "down"), *bust]
    if truth == "seamed":
        run: list[Point] = [(59, 60), (44, 78), (36, BUST + 4), (28, WAIST), (40, HEM)]
        return _pair(run, colour, "long-seam", BOLD)
    if truth == "boned":
        return _bones(colour)
    # Soft folds of cloth that hangs: they end nowhere and shape nothing.
    return [
        path(
            smooth([(MIDDLE + x, 108), (MIDDLE + x * 1.06, 160), (MIDDLE + x * 1.2, HEM - 4)]),
            fill="none",
            stroke=colour,
            stroke_width=1,
            class_="fall",
        )
        for x in (-44, -16, 18, 46)
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the front of a dress down to below the waist.

    Parameters
    ----------
    level : int
        1 offers three ways, 2 four and 3 five, with seams less and less plain.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    ink = mix(colour, INK, FAINT[level])
    half = LOOSE if truth == "none" else SHAPED
    lined = truth == "boned"
    return Drawn(
        question="What shapes this bodice?",
        title="The top half of a dress",
        description="The top half of a dress, spread on the bench"
        + (", turned out so that its lining is seen." if lined else ", from the front."),
        body=[
            path(
                _outline(half),
                fill=filled("main"),
                stroke=INK,
                stroke_width=BOLD,
                stroke_linejoin="round",
                class_="cloth",
            ),
            *_shaped_by(truth, ink, dice),
            label(
                (350, 24),
                "turned out" if lined else "from the front",
                text_anchor="end",
                font_size=11,
                fill=SOFT_INK,
            ),
        ],
        shown=[
            shown_ring((MIDDLE, WAIST - (0 if truth in {"elastic", "boned"} else 44)), 78, 40),
            note((180, 254), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", shade(colour, -0.12 if lined else 0)),),
        answers=answers,
        caution="Cups of foam are quick and no structure; plastic bones bend and stay bent.",
    )


FAMILY = Family(
    id="bodices",
    name="What shapes a bodice",
    about="Tell gathers, darts, long seams and bones from cloth that merely hangs.",
    zone="front",
    signal_ids=("dress_bodice",),
    draw=draw,
)
