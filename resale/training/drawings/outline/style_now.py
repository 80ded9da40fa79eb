"""How current an outline is: a jacket set against what a shop's board of the season shows."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.outline.hung import Measures, jacket
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, rect

TODAY = Answer("today", "Of today")
AGAIN = Answer("wanted_again", "Old and wanted again")
DATED = Answer("dated", "Of years gone by")
PLAIN = Answer("plain", "Of no year")
ANSWERS = (TODAY, AGAIN, DATED, PLAIN)
ON_BOARD = {"today": "new shops now", "wanted_again": "asked for again", "dated": "gone by"}

MIDDLE = (46.0, 17.0, 120.0)
SPREAD = (11.0, 8.5, 24.0)
"""From the middle to an end: half the shoulder, the lapel, the length."""

FAR = {1: 1.0, 2: 0.85, 3: 0.65}
"""How far from the middle the outlines of the board lie, as a part of the spread."""

PARTS = ("shoulder", "lapel", "length")
SAID = {
    -1: ("narrow shoulders", "narrow lapels", "short"),
    1: ("broad shoulders", "broad lapels", "long"),
}
LARGE, SMALL = 0.8, 0.4


def _outlines(level: int, dice: Random) -> list[tuple[int, ...]]:
    """Three outlines of the board: from the second level on some differ in one measure alone."""
    first = tuple(dice.choice((-1, 1)) for _ in PARTS)
    turned = dice.sample(range(3), 3)

    def but(*places: int) -> tuple[int, ...]:
        return tuple(-one if k in places else one for k, one in enumerate(first))

    others = {
        1: [but(turned[0], turned[1]), but(turned[1], turned[2])],
        2: [but(0, 1, 2), but(turned[0], turned[1])],
        3: [but(turned[0]), but(turned[1])],
    }
    many = [first, *others[level]]
    dice.shuffle(many)
    return many


def _measures(signs: tuple[int, ...], far: float) -> Measures:
    rows = zip(MIDDLE, SPREAD, signs, strict=True)
    return Measures(*(middle + far * spread * sign for middle, spread, sign in rows))


def draw(level: int, dice: Random) -> Drawn:
    """Draw three jackets on the shop's board, and the one that came in.

    Parameters
    ----------
    level : int
        1 has outlines that differ in two measures; at 3 two pairs differ in one alone, and by less.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    board = dict(zip(ON_BOARD, _outlines(level, dice), strict=True))
    signs = board.get(truth, (0, 0, 0))
    body: list[Node] = [
        rect(6, 8, 230, 134, rx=4, fill="#e4d6b8", stroke=INK, stroke_width=MEDIUM, class_="board")
    ]
    names = list(board)
    dice.shuffle(names)
    for place, name in enumerate(names):
        at = (46.0 + 75 * place, 48.0)
        measures = _measures(board[name], FAR[level])
        paint = shade(colour, -0.3)
        body += jacket(at, measures, paint, colour, scale=SMALL, named=name)
        body.append(label((at[0], 130), ON_BOARD[name], text_anchor="middle", font_size=10.5))
    body += jacket(
        (298, 48),
        _measures(signs, FAR[level]),
        colour,
        shade(colour, 0.14),
        scale=LARGE,
        named="in",
    )
    body += [
        label((12, 24), "our board", font_size=11, fill=SOFT_INK),
        label((298, 20), "came in", text_anchor="middle", font_size=11, fill=SOFT_INK),
    ]
    words = words_of(ANSWERS, truth)
    ring = (46.0 + 75 * names.index(truth), 75.0) if truth in names else (298.0, 100.0)
    said = [SAID[sign][k] for k, sign in enumerate(signs) if sign]
    return Drawn(
        question="By the board of this shop, how current does the jacket that came in look?",
        title="A board with three jackets, and a fourth on a hanger",
        description="Outlines only. The hangers are all of one size, to go by; the board is drawn "
        "at half the size.",
        body=body,
        shown=[
            shown_ring(ring, 36, 45) if truth in names else shown_ring(ring, 57, 74),
            note((120, 178), words.lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=(
            f"{', '.join(said).capitalize()}: shoulder, lapel and length all as on that jacket of "
            "the board."
            if said
            else "Shoulder, lapel and length all lie between those of the board: it is tied to no "
            "year."
        ),
        answers=ANSWERS,
        height=200,
        caution="What is of today changes: whoever sells most keeps the board, and your own taste "
        "is of your own years.",
    )


FAMILY = Family(
    id="style_now",
    name="How current it looks",
    about="Set shoulder, lapel and length against what the season's board shows.",
    zone="whole",
    signal_ids=("style_now",),
    draw=draw,
)
