"""Where a name stands: look it up, letter by letter, in the shop's list."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.labels.lettering import invented_name, misspelt, said, strip
from resale.training.drawings.palette import (
    BOLD,
    FINE,
    INK,
    SOFT_INK,
    label,
    note,
    shown_line,
    shown_ring,
)
from resale.training.drawings.svg import Node, line, polyline, rect

ANSWERS = (
    Answer("unknown", "Unknown"),
    Answer("mass", "Mass"),
    Answer("middle", "Middle"),
    Answer("premium", "Premium"),
    Answer("luxury", "Luxury"),
)
ROWS = {1: 4, 2: 5, 3: 6}
FAR = {1: 3, 2: 2, 3: 1}
"""How far the names beside it are spelt otherwise."""

TOP, STEP = 116.0, 21.0


def _names(dice: Random, level: int, name: str) -> list[str]:
    """Names that look like it: further off at level 1, one swapped letter at level 3."""
    found = [name]
    while len(found) < ROWS[level]:
        far = FAR[level] if len(found) < 3 else 3
        other = misspelt(dice, name, far)
        if other not in found:
            found.append(other)
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw a label over a page of the shop's list.

    Parameters
    ----------
    level : int
        1 has four rows that differ plainly, 2 five with a letter missing, 3 six with two letters
        swapped.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    name = invented_name(dice)
    listed = _names(dice, level, name)
    if truth == "unknown":
        # Everything on the page but the name itself.
        listed = [*listed[1:], misspelt(dice, name, 3)]
    standings = [one.id for one in ANSWERS[1:]]
    rows = [
        (one, truth if one == name else dice.choice([s for s in standings if s != truth]))
        for one in dict.fromkeys(listed)
    ]
    rows.sort()
    names_of = {one.id: one.text for one in ANSWERS}
    body: list[Node] = [
        *strip(50, 14, 260, 58, dice.choice(("#2f3a4a", "#4a2f2f", "#33402f")), woven=True),
        said(180, 51, name, 25.0, text_anchor="middle", fill="#e8d9a8", class_="said name"),
        rect(
            24,
            TOP - 28,
            312,
            30 + STEP * len(rows),
            rx=3,
            fill="#fffdf8",
            stroke=INK,
            stroke_width=BOLD,
        ),
        said(36, TOP - 12, "The shop's list of labels", 11.0, fill=SOFT_INK, font_style="italic"),
    ]
    for k, (listed_name, standing) in enumerate(rows):
        y = TOP + 8 + STEP * k
        body += [
            line(
                (32, y - 15), (328, y - 15), stroke=SOFT_INK, stroke_width=FINE, stroke_opacity=0.6
            ),
            said(40, y, listed_name, 14.0, class_="said row-name"),
            said(
                320,
                y,
                names_of[standing].lower(),
                13.0,
                text_anchor="end",
                class_="said row-standing",
            ),
        ]
    at = next((TOP + 8 + STEP * k for k, row in enumerate(rows) if row[0] == name), None)
    shown: list[Node] = [
        note((180, 86), names_of[truth].lower(), text_anchor="middle", font_size=14)
    ]
    shown.append(
        shown_ring((180, at - 5), 150, 11)
        if at
        else shown_line(
            polyline([(40, TOP + 12 + STEP * len(rows)), (320, TOP + 12 + STEP * len(rows))])
        )
    )
    return Drawn(
        question="What standing do you enter for this label?",
        title="A label and the shop's list",
        description=f"A woven label with the name {name}. Below it a page of the shop's list: "
        + ", ".join(one for one, _ in rows)
        + ", each with its standing.",
        body=[
            *body,
            label((348, 258), "all names invented", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=shown,
        truth=truth,
        why="No row is spelt like the label: it is unknown until somebody looks it up, however "
        "near a name on the list comes."
        if truth == "unknown"
        else f"Letter by letter only one row is the name on the label, and it stands as "
        f"{names_of[truth].lower()}. Names that look alike stand elsewhere.",
        answers=ANSWERS,
        height=264,
    )


FAMILY = Family(
    id="label_list",
    name="Where a name stands",
    about="Look a name up letter by letter, and leave it unknown where it is not there.",
    zone="label",
    signal_ids=("label_standing",),
    draw=draw,
)
