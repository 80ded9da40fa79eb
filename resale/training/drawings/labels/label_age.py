"""How old a label is: the newest thing on it decides."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.labels.lettering import SANS, invented_name, said, strip
from resale.training.drawings.palette import INK, MEDIUM, SOFT_INK, label, note, shown_ring
from resale.training.drawings.svg import (
    Node,
    Point,
    Value,
    circle,
    group,
    line,
    path,
    polyline,
    rect,
)

CURRENT = Answer("current", "Current")
RECENT = Answer("recent_decades", "Ten to thirty years")
OLDER = Answer("older_label", "Older than thirty")
UNION = Answer("union_or_utility", "Union or utility label")
OFFERED = {
    1: (CURRENT, OLDER, UNION),
    2: (CURRENT, RECENT, OLDER, UNION),
    3: (CURRENT, RECENT, OLDER, UNION),
}
MISLEADS = {1: 0.0, 2: 0.35, 3: 1.0}
"""How often something on it looks older than it is."""

WHY = {
    "current": "A web address, or a square to be read by a telephone, stands on new labels alone; "
    "however old the lettering looks, this label is new.",
    "recent_decades": "Care symbols without a web address: some ten to thirty years.",
    "older_label": "Woven, few words, and no care symbols: older than they are in use, or so it "
    "looks. Zip, thread and seam finish should agree with it.",
    "union_or_utility": "A ticket with the mark and number of a makers' union sits apart from the "
    "maker's label: its time and trade can be looked up.",
}


def _symbols(x: float, y: float) -> list[Node]:
    """Five care symbols as they are drawn in general: tub, triangle, square, iron, circle."""
    pen: dict[str, Value] = {
        "fill": "none",
        "stroke": INK,
        "stroke_width": 1.5,
        "stroke_linejoin": "round",
    }
    tub = path(f"M{x} {y}L{x + 3} {y + 13}L{x + 19} {y + 13}L{x + 22} {y}", **pen)
    tri = path(polyline([(x + 34, y + 14), (x + 43, y - 2), (x + 52, y + 14)], closed=True), **pen)
    square = rect(x + 64, y - 2, 16, 16, **pen)
    iron = path(
        polyline(
            [(x + 92, y + 13), (x + 98, y + 3), (x + 114, y + 3), (x + 117, y + 13)], closed=True
        ),
        **pen,
    )
    ring = circle((x + 138, y + 6), 8.5, **pen)
    return [group(tub, tri, square, iron, ring, class_="care-symbols")]


def _code(x: float, y: float, dice: Random) -> list[Node]:
    """A square of dots for telephones; it holds nothing."""
    cells = [
        rect(x + 3.4 * a, y + 3.4 * b, 3.4, 3.4, fill=INK)
        for a in range(9)
        for b in range(9)
        if dice.random() < 0.48
    ]
    return [group(rect(x - 2, y - 2, 34.6, 34.6, fill="#fffdf8"), *cells, class_="square-code")]


def _union(at: Point, dice: Random) -> list[Node]:
    """A ticket of an invented makers' union, with a toothed edge and a number."""
    x, y = at
    wide, high, teeth = 150.0, 78.0, 5.0
    top = [(x + k * teeth, y + (0 if k % 2 else 3)) for k in range(int(wide / teeth) + 1)]
    bottom = [(a, y + high - (b - y)) for a, b in top][::-1]
    return [
        path(
            polyline([*top, *bottom], closed=True),
            fill="#e9d8a6",
            stroke=INK,
            stroke_width=MEDIUM,
            class_="union-ticket",
        ),
        circle((x + wide / 2, y + 30), 17, fill="none", stroke="#2f4a6b", stroke_width=2.4),
        line(
            (x + wide / 2 - 11, y + 38),
            (x + wide / 2 + 11, y + 20),
            stroke="#2f4a6b",
            stroke_width=2.2,
        ),
        line(
            (x + wide / 2 - 11, y + 20),
            (x + wide / 2 + 11, y + 38),
            stroke="#2f4a6b",
            stroke_width=2.2,
        ),
        said(
            x + wide / 2,
            y + 58,
            "UNION MADE",
            11.0,
            text_anchor="middle",
            fill="#2f4a6b",
            font_weight="bold",
        ),
        said(
            x + wide / 2,
            y + 71,
            f"No. {dice.randint(10000, 99999)}",
            10.0,
            text_anchor="middle",
            fill="#2f4a6b",
        ),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a maker's label, and what hangs beside it.

    Parameters
    ----------
    level : int
        1 offers three ages; 2 and 3 four, and something on it looks older than it is.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    misleads = dice.random() < MISLEADS[level]
    woven = truth in {"older_label", "union_or_utility"} or misleads
    name = invented_name(dice)
    cloth = dice.choice(("#2f3a4a", "#4a2f2f", "#2f4034")) if woven else "#fbf8f0"
    ink = "#e8d9a8" if woven else INK
    tall = 116.0 if truth in {"current", "recent_decades"} else 84.0
    body: list[Node] = [*strip(28, 26, 304, tall, cloth, woven=woven)]
    body.append(
        said(
            180,
            66,
            name,
            27.0,
            text_anchor="middle",
            fill=ink,
            font_family=SANS if not woven else "Georgia, 'Times New Roman', serif",
            font_style="italic" if woven else "normal",
        )
    )
    mark: Point
    words = words_of(answers, truth)
    if truth == "current":
        body += [
            said(
                180,
                90,
                f"www.{name.lower()}.example",
                12.0,
                text_anchor="middle",
                fill=ink,
                class_="said web",
            )
        ]
        body += _care_strip(dice, code=True)
        mark = (180, 86)
    elif truth == "recent_decades":
        body += [said(180, 90, "Made with care", 12.0, text_anchor="middle", fill=ink)]
        body += _care_strip(dice, code=False)
        mark = (180, 182)
    elif truth == "union_or_utility":
        body += [said(180, 92, "Tailors", 13.0, text_anchor="middle", fill=ink)]
        body += _union((104, 128), dice)
        mark = (180, 166)
    else:
        place = dice.choice(("by the old bridge", "at the corn market", "in the high street"))
        body += [said(180, 92, place, 13.0, text_anchor="middle", fill=ink, font_style="italic")]
        mark = (180, 70)
    return Drawn(
        question="How old is this label?",
        title="A label in a neck",
        description="A maker's label sewn into the neck of a coat; the name is invented.",
        body=[
            *body,
            label(
                (348, 252),
                "in the neck; name invented",
                text_anchor="end",
                font_size=11,
                fill=SOFT_INK,
            ),
        ],
        shown=[
            shown_ring(mark, 116, 20 if truth == "current" else 40),
            note((100, 252), words.lower(), text_anchor="middle", font_size=13),
        ],
        truth=truth,
        why=WHY[truth]
        + (
            " The woven cloth and old lettering were copied."
            if misleads and truth in {"current", "recent_decades"}
            else ""
        ),
        answers=answers,
        caution="A label can be sewn into a newer thing: let zip, thread and seams agree with it.",
    )


def _care_strip(dice: Random, *, code: bool) -> list[Node]:
    """The care label below, with its symbols; on a new one a square for telephones too."""
    parts = [*strip(70, 160, 220, 56, "#fbf8f0", woven=False), *_symbols(88 if code else 110, 182)]
    return [*parts, *(_code(250, 172, dice) if code else [])]


FAMILY = Family(
    id="label_age",
    name="How old a label is",
    about="Let the newest thing on a label decide, however old the lettering looks.",
    zone="label",
    signal_ids=("label_era",),
    draw=draw,
)
