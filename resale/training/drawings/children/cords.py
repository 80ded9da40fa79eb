"""Cords and small parts on children's outerwear: what puts a jacket on hold, and why.

Every cord on a child's garment goes to a lead, also one within the limits: places differ. The
limits drawn here are those of 16 CFR 1120 (ASTM F1816-97) for sizes 2T to 12: no drawstring at
hood or neck; at the waist no end longer than 3 inches outside the channel at full width, no
toggle or knot at an end, and a cord of one piece tacked fast. Other places have other rules, such
as EN 14682: each shop follows its own law.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from resale.training.drawings.children.cord_views import (
    INCH,
    WAIST_EXIT,
    WAIST_Y,
    Jacket,
    jacket_view,
    waist_view,
)
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import arrow_line, note, shown_ring
from resale.training.drawings.svg import Node

MOST_INCHES = 3.0

NONE = Answer("none", "No cord, no loose part: nothing to hold")
SHORT = Answer("short", "Hold: a short waist cord, for a lead to judge")
HOOD = Answer("hood", "Hold: a cord at the hood")
LONG = Answer("long", "Hold: waist cord over 3 inches")
KNOT = Answer("knot", "Hold: a toggle or knot at the cord's end")
FREE = Answer("free", "Hold: waist cord not tacked fast")
BUTTON = Answer("button", "Mend first: a button hangs by a thread")
OFFERED = {
    1: (NONE, HOOD, SHORT),
    2: (NONE, HOOD, SHORT, LONG, KNOT),
    3: (NONE, HOOD, SHORT, LONG, KNOT, FREE, BUTTON),
}
# Inches outside the channel where the cord may pass, and where it is too long.
SHORT_ENDS = {1: (1.5, 2.0), 2: (1.25, 2.25), 3: (2.25, 2.75)}
LONG_ENDS = {2: (3.75, 4.0), 3: (3.25, 3.5)}
SIZES = ("2T", "3T", "4", "5", "6", "8", "10", "12")
WHY = {
    "none": "No cord anywhere: the waist is gathered by elastic, and every button is fast.",
    "short": "The waist cord ends {inches:g} inches outside the channel, plain and tacked fast: "
    "within the United States limit, and still a cord on a child's jacket. A lead holds it against "
    "the rule of the place before it goes out.",
    "hood": "A drawstring at a hood or neck can catch and strangle: none is allowed at this size.",
    "long": "The waist cord ends {inches:g} inches outside the channel; 3 is the most.",
    "knot": "A toggle or knot at the end of the waist cord can catch in a door or a slide.",
    "free": "The waist cord is not tacked to its channel, so it can be pulled out long on one "
    "side.",
    "button": "The loose button is a repair, not a ban: clothes are outside the small-parts rule, "
    "but a child can swallow it, so it is sewn fast before the jacket goes out.",
}


@dataclass(frozen=True, slots=True)
class _Case:
    truth: str
    jacket: Jacket


def _case(level: int, dice: Random) -> _Case:
    truth = dice.choice(OFFERED[level]).id
    low, high = LONG_ENDS[level] if truth == "long" else SHORT_ENDS[level]
    inches = dice.randint(round(low * 8), round(high * 8)) / 8
    return _Case(
        truth,
        Jacket(
            size=dice.choice(SIZES),
            hood_cord=truth == "hood",
            inches=inches,
            waist_cord=truth not in {"none", "button"},
            toggle=truth == "knot",
            tacked=truth != "free",
            loose_button=truth == "button",
        ),
    )


def _shown(case: _Case) -> list[Node]:
    end = WAIST_EXIT + case.jacket.inches * INCH
    middle, beside = (WAIST_EXIT + end) / 2, 196
    measure = [
        arrow_line((WAIST_EXIT, WAIST_Y - 16), (end, WAIST_Y - 16)),
        note((middle, WAIST_Y - 21), f"{case.jacket.inches:g} in", text_anchor="middle"),
    ]
    return {
        "none": [shown_ring((76, WAIST_Y), 64, 20), note((20, WAIST_Y + 52), "elastic, no cord")],
        "short": [*measure, note((20, WAIST_Y + 52), "a lead decides")],
        "hood": [shown_ring((112, 92), 36, 24), note((beside, 60), "cord at the hood")],
        "long": measure,
        "knot": [shown_ring((end, WAIST_Y), 16, 14), note((end, WAIST_Y - 20), "toggle")],
        "free": [shown_ring((76, WAIST_Y), 20, 15), note((20, WAIST_Y + 48), "not tacked")],
        "button": [shown_ring((113, 129), 14, 16), note((beside, 154), "hangs by a thread")],
    }[case.truth]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a child's jacket, its size tag, and the end of its waist cord over a ruler.

    Parameters
    ----------
    level : int
        1 offers hood cords and short ends; 2 adds ends too long and knots; 3 adds untacked cords
        and loose buttons, with ends near 3 inches.
    dice : Random
        Chance of this exercise.
    """
    case = _case(level, dice)
    return Drawn(
        question="Does anything here send this child's jacket to a lead first?",
        title="A child's jacket and its waist cord",
        description="A child's hooded jacket with its size tag; below it the waist channel laid "
        "out at full width, and a ruler in inches where a cord would come out.",
        body=[*jacket_view(case.jacket, dice), *waist_view(case.jacket, tacks=level == 3)],
        shown=_shown(case),
        truth=case.truth,
        why=WHY[case.truth].format(inches=case.jacket.inches),
        answers=OFFERED[level],
        caution="Drawn after the United States rule as we know it (16 CFR 1120, ASTM F1816-97); "
        "other places have stricter rules, such as EN 14682. Local law decides. In doubt, hold "
        "the garment and ask the lead.",
        height=268,
    )


FAMILY = Family(
    id="cords",
    name="Cords on children's wear",
    about="See the cord, toggle or loose part that sends a child's jacket to a lead.",
    zone="collar",
    # The rule book has no signal for these yet; the holds of the safety desk cover them.
    signal_ids=(),
    draw=draw,
)
