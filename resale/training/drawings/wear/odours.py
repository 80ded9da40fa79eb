"""Odour as a described case: how near the nose came, where, and what it met."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    LEATHER,
    LEATHER_DARK,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.svg import Node, line, path, polyline, smooth, words

STEP = 2.6
"""Units of the drawing to a centimetre."""

REACH = {"strong": 62.0, "noticeable": 17.0, "faint": 3.0, "none": 0.0}
"""How far from the cloth it is noticed, centimetres."""

ANSWERS = (
    Answer("strong", "Strong at arm's length"),
    Answer("noticeable", "Noticeable up close"),
    Answer("faint", "Faint"),
    Answer("none", "None"),
)
CELLAR = Answer("musty", "Not this sign: a cellar smell, for the lead")
SMELLS = ("smoke", "sweat", "kitchen", "perfume")
TRAPS = {
    "nose": "You have smelled thirty things since the morning. A colleague fresh from the street "
    "noticed it where the marks are.",
    "perfume": "Perfume, and under it something sour that stays when the perfume is waved away.",
    "warm": "Cold from the van there was nothing. After a minute in warm hands it was noticed "
    "where the marks are.",
}
WHY = {
    "strong": "It is noticed at arm's length, as a customer passing the rail would: strong.",
    "noticeable": "Not at arm's length, but a hand away: noticeable up close.",
    "faint": "Only with the nose to the cloth: faint.",
    "none": "Nothing even with the nose to the warm cloth, and you were rested: none.",
    "musty": "Cellar and damp paper is no matter of how strong: it speaks of mould, which is "
    "asked by itself and held until a lead has looked.",
}


def _waves(x: float, y: float, reach: float) -> list[Node]:
    """Smell as lines that leave the cloth and end where it is no longer noticed."""
    parts: list[Node] = []
    for row in range(5):
        top = y - 34 + row * 17
        end = x - reach * STEP
        if reach <= 0:
            continue
        steps = max(int((x - end) / 9), 2)
        run = [(x - (x - end) * k / steps, top + (4 if k % 2 else -4)) for k in range(steps + 1)]
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke="#8f7a3a",
                stroke_width=1.6,
                stroke_opacity=0.8,
                stroke_linecap="round",
                class_="waft",
            )
        )
    return parts


def _face() -> list[Node]:
    """A face from the side, looking at the thing."""
    outline = [
        (18, 58),
        (44, 52),
        (56, 74),
        (54, 92),
        (62, 108),
        (52, 114),
        (54, 124),
        (48, 130),
        (50, 142),
        (34, 150),
        (30, 176),
    ]
    return [
        path(
            smooth(outline), fill="#e6cfae", stroke=INK, stroke_width=BOLD, stroke_linejoin="round"
        ),
        path("M40 88C44 85 48 86 50 89", fill="none", stroke=INK, stroke_width=1.4),
    ]


def _thing(shoe: bool, colour: str) -> list[Node]:
    if shoe:
        upper = [
            (246, 150),
            (250, 96),
            (282, 92),
            (292, 116),
            (322, 128),
            (344, 142),
            (346, 158),
            (248, 160),
        ]
        return [
            path(
                polyline(upper, closed=True),
                fill=LEATHER,
                stroke=INK,
                stroke_width=BOLD,
                stroke_linejoin="round",
                class_="thing",
            ),
            path("M246 160H348V168H246Z", fill=LEATHER_DARK, stroke=INK, stroke_width=MEDIUM),
            path("M250 98C260 104 272 104 282 96", fill="none", stroke=INK, stroke_width=MEDIUM),
        ]
    coat = [(246, 70), (268, 58), (292, 62), (314, 58), (340, 72), (346, 190), (244, 190)]
    return [
        path(
            polyline(coat, closed=True),
            fill=colour,
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
            class_="thing",
        ),
        line((294, 64), (294, 190), stroke=shade(colour, 0.4), stroke_width=MEDIUM),
        path("M268 58L294 96L314 58", fill="none", stroke=INK, stroke_width=MEDIUM),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a case: a nose, a thing, and how far its smell is noticed.

    Parameters
    ----------
    level : int
        1 measures on a plain case; 2 asks the same of shoes and coats; 3 adds what fools a nose.
    dice : Random
        Chance of this exercise.
    """
    answers = (*ANSWERS, CELLAR) if level > 1 else ANSWERS
    truth = dice.choice(answers).id
    shoe = dice.random() < 0.4
    smell = "damp cellar and old paper" if truth == "musty" else dice.choice(SMELLS)
    reach = REACH.get(truth, dice.choice((17.0, 62.0)))
    if truth in {"strong", "noticeable", "musty"}:
        reach *= dice.uniform(0.9, 1.08)
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    trap = dice.choice(sorted(TRAPS)) if level == 3 and truth not in {"none", "musty"} else ""
    what = "the mouth of a shoe" if shoe else "the underarm of a coat"
    case = _said(what, smell, truth, trap, level)
    marks: list[Node] = []
    for cm, said in ((65, "arm"), (20, "hand"), (0, "cloth")):
        x = 244 - cm * STEP
        marks.append(line((x, 196), (x, 206), stroke=INK, stroke_width=MEDIUM, class_="mark"))
        marks.append(label((x, 219), said, text_anchor="middle", font_size=11))
    lines = _wrapped(case, 58)
    return Drawn(
        question="How would you enter the odour of this case?",
        title="A case of smell",
        description="A face before a thing, with marks at the cloth, a hand away and at arm's "
        "length. "
        f"Lines show how far it is noticed. The case says: {case}",
        body=[
            *_waves(244, 128, reach),
            *_face(),
            *_thing(shoe, colour),
            line((70, 201), (244, 201), stroke=INK, stroke_width=MEDIUM),
            *marks,
            *(
                words(
                    (14, 243 + 15 * k),
                    text,
                    font_family="Georgia, 'Times New Roman', serif",
                    font_size=12,
                    fill=SOFT_INK,
                    class_="case",
                )
                for k, text in enumerate(lines)
            ),
        ],
        shown=[
            arrow_line((244 - max(reach, 1.5) * STEP, 182), (244, 182)),
            note(
                (180, 26),
                words_of(answers, truth).lower(),
                text_anchor="middle",
                font_size=13,
            ),
        ],
        truth=truth,
        why=WHY[truth] + (f" {_lesson(trap)}" if trap else ""),
        answers=answers,
        signal_ids=("mould",) if truth == "musty" else (("shoe_odour",) if shoe else ("odour",)),
        height=300,
        caution="Whoever must not smell something for their health leaves it to somebody else.",
    )


def _said(what: str, smell: str, truth: str, trap: str, level: int) -> str:
    if truth == "none":
        return (
            f"At {what}: nothing but clean cloth, also when warm, and you had stepped out before."
            if level > 1
            else f"At {what}: nothing."
        )
    if trap:
        return f"At {what}: {smell}. {TRAPS[trap]}"
    return f"At {what}: {smell}. It is noticed as far as the lines reach."


def _lesson(trap: str) -> str:
    return {
        "nose": "A tired nose says too little: ask a fresh one, or step out first.",
        "perfume": "Perfume is no cleanness; what it covers counts.",
        "warm": "Cold hides smell: warm the cloth before you say none.",
    }[trap]


def _wrapped(text: str, most: int) -> list[str]:
    rows = [""]
    for word in text.split():
        if len(rows[-1]) + len(word) + 1 > most:
            rows.append("")
        rows[-1] = f"{rows[-1]} {word}".strip()
    return rows


FAMILY = Family(
    id="odours",
    name="Odour, a described case",
    about="Enter an odour by how near one must come, and tell a cellar smell apart.",
    zone="wear",
    signal_ids=("odour", "shoe_odour", "mould"),
    draw=draw,
)
