"""The date on the tab of a bag: read, worked out, and set against the newest thing beside it."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.labels.lettering import said
from resale.training.drawings.palette import (
    INK,
    LINING,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, line, path, polyline, rect

NONE = Answer("none", "None")
READABLE = Answer("readable", "There, readable")
OLD = Answer("old_date", "Dated, over 30 years")
QUARRELS = Answer("quarrels", "At odds with the bag")
ANSWERS = (NONE, READABLE, OLD, QUARRELS)
OLD_FROM = 30
NEAR = {1: 8, 2: 4, 3: 1}
"""Years that a date is from being called old, at least."""

LETTERS = "BRIGHTCLAM"
"""Stand for 1 to 9 and 0: a key made up for this drawing, as trades have long hidden figures."""

TAB = (42.0, 96.0, 116.0, 62.0)


def in_letters(year: int) -> str:
    """Write a year by the key.

    Parameters
    ----------
    year : int

    Examples
    --------
    >>> in_letters(1987)
    'BALC'
    """
    return "".join(LETTERS[int(figure) - 1] for figure in str(year))


def _years(truth: str, level: int, today: int, dice: Random) -> tuple[int, int]:
    """The year on the tab, and that on the tape of the zip."""
    if truth == "old_date":
        made = today - OLD_FROM - NEAR[level] - dice.randint(0, 9)
        return made, made - dice.randint(0, 2)
    if truth == "quarrels":
        made = today - dice.randint(12, 44)
        return made, made + max(NEAR[level], 2) + dice.randint(0, 3)
    made = today - dice.randint(6, OLD_FROM - NEAR[level])
    return made, made - dice.randint(0, 2)


def _inside() -> list[Node]:
    pocket = [(24, 74), (336, 74), (336, 186), (24, 186)]
    return [
        rect(6, 6, 348, 196, rx=6, fill=LINING, stroke=INK, stroke_width=MEDIUM),
        *(
            line((6, y), (354, y), stroke=shade(LINING, 0.1), stroke_width=1)
            for y in range(16, 202, 9)
        ),
        path(
            polyline(pocket, closed=True), fill=shade(LINING, 0.06), stroke=INK, stroke_width=MEDIUM
        ),
    ]


def _zip(year: int) -> list[Node]:
    teeth = [line((x, 46), (x, 54), stroke="#8d8573", stroke_width=3) for x in range(26, 336, 6)]
    return [
        rect(20, 36, 320, 28, fill="#3d3a4a", stroke=INK, stroke_width=MEDIUM),
        *teeth,
        rect(262, 56, 68, 17, fill="#3d3a4a"),
        said(
            296, 69, f"zip {year}", 11.0, text_anchor="middle", fill="#f0e9d8", class_="said tape"
        ),
    ]


def _tab(text: str) -> list[Node]:
    x, y, wide, high = TAB
    return [
        rect(x, y, wide, high, rx=5, fill="#b98a5c", stroke=INK, stroke_width=MEDIUM, class_="tab"),
        rect(
            x + 5,
            y + 5,
            wide - 10,
            high - 10,
            rx=3,
            fill="none",
            stroke="#f0dcb4",
            stroke_width=1.4,
            stroke_dasharray="5 4",
        ),
        said(x + wide / 2, y + 38, text, 19.0, text_anchor="middle", class_="said stamped"),
    ]


def _key() -> list[Node]:
    rows: list[Node] = [
        rect(182, 96, 146, 62, fill="#fbf8f0", stroke=INK, stroke_width=MEDIUM),
        said(255, 111, "this maker's key", 10.5, text_anchor="middle"),
    ]
    for k, letter in enumerate(LETTERS):
        x = 192 + 14 * k
        rows += [
            said(x, 130, letter, 12.0, text_anchor="middle", class_="said key-letter"),
            said(x, 148, str((k + 1) % 10), 12.0, text_anchor="middle", class_="said key-figure"),
        ]
    return rows


def draw(level: int, dice: Random) -> Drawn:
    """Draw the inside of a bag with its tab and its zip, and the calendar of the desk.

    Parameters
    ----------
    level : int
        1 has the year in figures; 2 month and year; 3 the year in letters of a key.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    today = dice.randint(2024, 2032)
    made, zipped = _years(truth, level, today, dice)
    month = dice.randint(1, 12)
    text = {1: f"{made}", 2: f"{month} · {made}", 3: in_letters(made)}[level]
    if truth == "none":
        text = {1: "", 2: f"No. {dice.randint(100, 999)}", 3: f"Nr {dice.randint(40, 99)} Q"}[level]
        zipped = today - dice.randint(5, 40)
    body = [*_inside(), *_zip(zipped), *_tab(text)]
    body += _key() if level == 3 else []
    body += [
        rect(14, 210, 112, 44, rx=3, fill="#fbf8f0", stroke=INK, stroke_width=MEDIUM),
        said(70, 225, "our calendar", 10.5, text_anchor="middle"),
        said(70, 246, str(today), 17.0, text_anchor="middle", class_="said today"),
        label((350, 256), "inside the bag", text_anchor="end", font_size=11, fill=SOFT_INK),
    ]
    words = words_of(ANSWERS, truth)
    marks = [shown_ring((100, 127), 66, 38)]
    marks += [shown_ring((296, 65), 42, 13)] if truth == "quarrels" else []
    return Drawn(
        question="What do you enter for the date of this bag?",
        title="Inside a bag",
        description="The inside of a bag: a leather tab on the pocket, the tape of its zip, and a "
        "calendar beside it. Maker and key are made up.",
        body=body,
        shown=[*marks, note((226, 236), words.lower(), text_anchor="middle", font_size=13)],
        truth=truth,
        why=_why(truth, made, zipped, today),
        answers=ANSWERS,
        caution="Marks are copied: one that is there proves little, a missing one proves nothing. "
        "What quarrels goes to the lead.",
    )


def _why(truth: str, made: int, zipped: int, today: int) -> str:
    if truth == "none":
        return "No date stands there: a number by itself is often only a batch or a pattern."
    if truth == "quarrels":
        return f"The tab says {made}, the zip {zipped}: a bag is no older than its zip."
    age = today - made
    more = "more than" if truth == "old_date" else "no more than"
    return f"It says {made}: {age} years by the calendar, {more} thirty."


FAMILY = Family(
    id="bag_date",
    name="The date on a bag",
    about="Read the tab, work out the age, and set it against the zip.",
    zone="label",
    signal_ids=("bag_date",),
    draw=draw,
)
