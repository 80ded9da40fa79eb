"""Leather bent over a finger, and the white cloth that was rubbed on it."""

from __future__ import annotations

from random import Random

from resale.training.drawings.blobs import blob, scattered
from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LEATHER_PALE,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, group, path, polyline, smooth

PEELING = Answer("peeling", "Peeling or flaking")
CRACKED = Answer("cracked", "Cracked")
DRY = Answer("dry", "Dry, or rubs off")
SOUND = Answer("sound", "Soft and sound")
OFFERED = {
    1: (PEELING, CRACKED, SOUND),
    2: (PEELING, CRACKED, DRY, SOUND),
    3: (PEELING, CRACKED, DRY, SOUND),
}
HIDES = ("#6f4630", "#3f3a38", "#7a3038", "#84613f")
FLAKE = {1: 15.0, 2: 11.0, 3: 8.0}
RUBBED = {1: 0.6, 2: 0.5, 3: 0.34}
"""How much colour came off on the cloth."""

CRACK = {1: 3.0, 2: 2.4, 3: 1.8}
WHY = {
    "peeling": "A film lifts in scales and woven cloth looks out: bonded or coated, and no cream "
    "helps it.",
    "cracked": "Lines with pale fibres in them that stay open where it bends: the fibres have "
    "broken.",
    "dry": "A dull face without a break, and its colour on the white cloth: it wants feeding, and "
    "may mark what it touches.",
    "sound": "Soft folds that close again, a quiet shine, and a clean cloth.",
}
BEND_Y = 104.0


def _outline() -> str:
    """A strap-wide piece bent over a finger: it bulges in the middle."""
    top: list[Point] = [(16, 62), (70, 48), (126, 40), (182, 48), (232, 62)]
    low: list[Point] = [(232, 178), (182, 192), (126, 200), (70, 192), (16, 178)]
    return smooth(top) + "L" + smooth(low)[1:] + "Z"


def _leather(hide: str, shiny: bool) -> list[Node]:
    glow = [
        path(
            smooth([(30, BEND_Y - 16 + off), (126, BEND_Y - 30 + off), (222, BEND_Y - 16 + off)]),
            fill="none",
            stroke=shade(hide, -0.42),
            stroke_width=wide,
            stroke_opacity=0.32,
            stroke_linecap="round",
            class_="gloss",
        )
        for off, wide in ((0.0, 20.0), (2.0, 9.0))
    ]
    return [
        path(_outline(), fill=hide, stroke=INK, stroke_width=BOLD, class_="leather"),
        *(glow if shiny else ()),
    ]


def _folds(dice: Random, hide: str) -> list[Node]:
    """Soft folds along the bend: they close again, and nothing pale is in them."""
    return [
        path(
            smooth(
                [
                    (36 + dice.uniform(-8, 14), y + 8),
                    (92, y + dice.uniform(-3, 3)),
                    (150, y + dice.uniform(-3, 3)),
                    (212 + dice.uniform(-14, 8), y + 9),
                ]
            ),
            fill="none",
            stroke=mix(hide, INK, 0.42),
            stroke_width=1.5,
            stroke_linecap="round",
            class_="fold",
        )
        for y in (BEND_Y - 6, BEND_Y + 12, BEND_Y + 30)
    ]


def _cracks(dice: Random, level: int) -> list[Node]:
    found: list[Node] = []
    for row in range(5):
        y = BEND_Y - 22 + 17 * row
        x = 34 + dice.uniform(0, 20)
        while x < 200:
            run: list[Point] = [(x, y)]
            for _ in range(4):
                x += dice.uniform(8, 13)
                run.append((x, y + dice.uniform(-4, 4)))
            pens = ((CRACK[level] + 1.6, INK, "under"), (CRACK[level], LEATHER_PALE, "crack"))
            found += [
                path(
                    polyline(run),
                    fill="none",
                    stroke=tint,
                    stroke_width=wide,
                    stroke_linejoin="bevel",
                    class_=named,
                )
                for wide, tint, named in pens
            ]
            x += dice.uniform(10, 24)
    return found


def _flakes(dice: Random, level: int) -> list[Node]:
    """Places where the film has gone, with a lip that stands up beside them."""
    found: list[Node] = []
    for at in scattered(dice, 9, (44, 70, 206, 172), 30):
        outline = blob(dice, at, FLAKE[level] * dice.uniform(0.75, 1.0), 0.4, count=11)
        lip = [(x - 3, y - 3) for x, y in outline[5:10]]
        found += [
            path(
                polyline(outline, closed=True),
                fill=filled("backing"),
                stroke=INK,
                stroke_width=1.1,
                class_="bare",
            ),
            path(polyline(lip), fill="none", stroke="#fffdf6", stroke_width=1.8, class_="lip"),
        ]
    return found


def _cloth(dice: Random, rub: str) -> list[Node]:
    """A folded white cloth, and what came off on it."""
    at: Point = (298, 126)
    corners: list[Point] = [(254, 92), (334, 84), (346, 160), (262, 172)]
    parts = [
        path(
            polyline(corners, closed=True),
            fill="#fdfbf4",
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="white-cloth",
        ),
        path("M254 92L300 126L346 160", stroke="#cfc6b4", stroke_width=1.1, fill="none"),
    ]
    if rub:
        outline = blob(dice, at, 21, 0.3, flat=0.7)
        parts.append(path(smooth(outline, closed=True), fill=rub, class_="came-off"))
    return parts


def draw(level: int, dice: Random) -> Drawn:
    """Draw leather bent over a finger.

    Parameters
    ----------
    level : int
        1 offers three states, 2 and 3 four; flakes and cracks are smaller, and less rubs off.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    hide = HIDES[dice.randrange(len(HIDES))]
    dull = mix(hide, "#8d877d", 0.3)
    over = _folds(dice, hide)
    if truth == "cracked":
        over += _cracks(dice, level)
    elif truth == "peeling":
        over += _flakes(dice, level)
    rub = mix("#fdfbf4", hide, RUBBED[level]) if truth == "dry" else ""
    look: Point = (298, 128) if truth == "dry" else (126, 118)
    said = words_of(answers, truth).lower()
    return Drawn(
        question="What state is this leather in?",
        title="Leather bent over a finger",
        description="A piece of leather bent over a finger, and beside it the white cloth that was "
        "rubbed on its darkest part.",
        body=[
            *_leather(dull if truth == "dry" else hide, truth in {"sound", "peeling"}),
            group(*over, clip_path=clipped("leather")),
            *_cloth(dice, rub),
            label((126, 24), "bent over a finger", text_anchor="middle", fill=SOFT_INK),
            label((300, 24), "rubbed on it", text_anchor="middle", fill=SOFT_INK),
        ],
        shown=[
            shown_ring(look, 46 if truth == "dry" else 86, 44),
            note((180, 236), said, text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("backing", "#d8cfba", strength=0.3), clip("leather", path(_outline()))),
        answers=answers,
        caution="Fresh grease hides dryness for a week and leaves the cloth oily.",
        height=246,
    )


FAMILY = Family(
    id="leather_states",
    name="State of leather",
    about="Tell folds that close from cracks, a film that peels, and colour that rubs off.",
    zone="wear",
    signal_ids=("leather_state",),
    draw=draw,
)
