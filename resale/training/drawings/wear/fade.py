"""Faded cloth beside the same cloth kept from light: which step of the grey scale.

The two patches differ by the nominal CIELAB difference of their grade (ISO 105-A02:1993), as
near as a screen's own steps allow.
"""

from __future__ import annotations

from functools import lru_cache
from random import Random

from resale.garments.measures.grey_scale import COLOUR_CHANGE_STEPS, GreyStep
from resale.garments.measures.wear_grades import WearGrade, WearScale
from resale.training.drawings.colour import Lab, ciede2000, delta_e, hex_from_lab, lab_from_hex
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import INK, MEDIUM, SOFT_INK, label, note, shown_line
from resale.training.drawings.svg import Node, path, rect

STEPS = {step.grade: step for step in COLOUR_CHANGE_STEPS}
OFFERED = {
    1: (5.0, 3.0, 1.0),
    2: (5.0, 4.0, 3.0, 2.0, 1.0),
    # No 4-5 and no 3-4: steps of 0.8 units are lost between one screen and another.
    3: (5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0),
}
# CIELAB of cloth that fades by growing lighter: indigo, moss, brick, grey, plum.
CLOTHS: tuple[Lab, ...] = ((42, 0, -16), (48, -10, 14), (46, 20, 14), (50, 0, 0), (40, 12, -8))
GREY: Lab = (46, 0, 0)
LEFT, TOP, WIDE, HIGH = 24.0, 16.0, 156.0, 128.0
SCALE_TOP = 184.0


def _lighter(lab: Lab, by: float) -> Lab:
    return (lab[0] + by, lab[1], lab[2])


@lru_cache(maxsize=512)
def pair(lab: Lab, step: GreyStep) -> tuple[str, str]:
    """Two screen colours whose difference is a grade's nominal one, as near as can be.

    A screen knows 256 steps of each light, so the lightness of the first colour is moved a little
    until both fall well.

    Parameters
    ----------
    lab : Lab
        L*, a*, b* of the first colour, as it is wanted.
    step : GreyStep
        Grade of the grey scale with its nominal difference (CIELAB units).

    Returns
    -------
    (str, str)
        Hex colours: the one first given, and the one that faded.
    """
    best = ("", "")
    least = float("inf")
    for nudge in range(-12, 13):
        whole = _lighter(lab, nudge * 0.25)
        first, second = hex_from_lab(whole), hex_from_lab(_lighter(whole, step.delta_e))
        off = abs(delta_e(lab_from_hex(first), lab_from_hex(second)) - step.delta_e)
        # A nudge has its price, so that the kept halves of a row stay alike.
        score = off + 0.02 * abs(nudge)
        if score < least:
            best, least = (first, second), score
    return best


def name_of(grade: float) -> str:
    """Grade as the standards print it, 4-5 for four and a half."""
    return WearGrade(WearScale.COLOUR_CHANGE, grade).label


def _patches(whole: str, worn: str) -> list[Node]:
    """Kept on the left, worn on the right, edge to edge with nothing between."""
    return [
        rect(LEFT, TOP, WIDE, HIGH, fill=whole, shape_rendering="crispEdges", class_="patch kept"),
        rect(
            LEFT + WIDE,
            TOP,
            WIDE,
            HIGH,
            fill=worn,
            shape_rendering="crispEdges",
            class_="patch worn",
        ),
        rect(LEFT, TOP, 2 * WIDE, HIGH, fill="none", stroke=INK, stroke_width=MEDIUM),
        label(
            (LEFT + WIDE / 2, TOP + HIGH + 17), "kept under the pocket flap", text_anchor="middle"
        ),
        label((LEFT + 1.5 * WIDE, TOP + HIGH + 17), "worn in the light", text_anchor="middle"),
    ]


def _chips(grades: tuple[float, ...]) -> tuple[list[Node], dict[float, float]]:
    """The grey scale in a row, each pair named; and where each lies."""
    parts: list[Node] = []
    places: dict[float, float] = {}
    room = 312.0 / len(grades)
    wide = min(room - 6, 48.0)
    for place, grade in enumerate(grades):
        first, second = pair(GREY, STEPS[grade])
        x = LEFT + room * place + (room - wide) / 2
        places[grade] = x + wide / 2
        for half, colour in enumerate((first, second)):
            parts.append(
                rect(
                    x + half * wide / 2,
                    SCALE_TOP,
                    wide / 2,
                    36,
                    fill=colour,
                    shape_rendering="crispEdges",
                    class_=f"chip {'kept' if not half else 'worn'}",
                )
            )
        parts.append(
            label(
                (x + wide / 2, SCALE_TOP + 52),
                name_of(grade),
                text_anchor="middle",
                class_="label chip-name",
            )
        )
    parts.append(
        path(
            f"M{LEFT} {SCALE_TOP - 8}H{LEFT + 312}",
            stroke=SOFT_INK,
            stroke_width=0.6,
            stroke_dasharray="1 3",
        )
    )
    return parts, places


def draw(level: int, dice: Random) -> Drawn:
    """Draw a kept and a worn patch above the grey scale.

    Parameters
    ----------
    level : int
        1 offers three grades far apart, 2 the five whole ones, 3 half grades too where a screen can
        show them.
    dice : Random
        Chance of this exercise.
    """
    grades = OFFERED[level]
    grade = dice.choice(grades)
    step = STEPS[grade]
    whole, worn = pair(dice.choice(CLOTHS), step)
    chips, places = _chips(grades)
    shown = [
        shown_line(f"M{places[grade] - 14:.2f} {SCALE_TOP + 57}h28"),
        note(
            (180, TOP + HIGH / 2 + 5), f"grade {name_of(grade)}", text_anchor="middle", font_size=16
        ),
    ]
    first, second = lab_from_hex(whole), lab_from_hex(worn)
    seen = WearGrade(WearScale.COLOUR_CHANGE, grade).wording
    return Drawn(
        question="Which pair of the grey scale differs as much as these two patches?",
        title="A kept and a worn patch of one cloth, and a grey scale",
        description="Two patches of the same cloth side by side, the left one kept from light, "
        "the right one worn; below them pairs of grey, each named with its grade.",
        body=[*_patches(whole, worn), *chips],
        shown=shown,
        truth=name_of(grade),
        why=f"The patches lie {delta_e(first, second):.1f} CIELAB units apart (CIEDE2000: "
        f"{ciede2000(first, second):.1f}); grade {name_of(grade)} is {step.delta_e:g} by "
        f"ISO 105-A02: {seen}.",
        answers=tuple(Answer(name_of(each), f"Grade {name_of(each)}") for each in grades),
        caution="A screen shows colour only roughly: grade the thing itself in daylight, beside a "
        "printed grey scale.",
        height=248,
    )


FAMILY = Family(
    id="fade",
    name="Steps of fading",
    about="Grade fading against the grey scale, where 5 is unchanged and 1 is worst.",
    zone="wear",
    signal_ids=("fading",),
    draw=draw,
)
