"""What a button is made of, told by its figure, and two buttons told apart by theirs."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.fastenings.button_figures import BASES, FIGURES, Figure, face
from resale.training.drawings.palette import label, note, shown_line
from resale.training.drawings.svg import Node, Point, node

NAMES = {
    "plastic": "Plastic",
    "metal": "Metal",
    "wood": "Wood",
    "corozo": "Corozo nut",
    "horn": "Horn",
    "pearl": "Mother-of-pearl",
}
OFFERED = {
    1: ("plastic", "wood", "pearl"),
    2: ("plastic", "metal", "wood", "corozo", "horn", "pearl"),
    3: ("plastic", "wood", "corozo", "horn", "pearl"),
}
COPIED = ("pearl", "horn", "corozo")
WHY = {
    "plastic": "One even colour with a gloss, and the nib that the mould left on the rim.",
    "metal": "A sheen, a pressed pattern and no holes: it is sewn by a loop behind.",
    "wood": "Growth rings, dark and pale, unevenly spaced.",
    "corozo": "Fine short dashes in bent rows, under a matt face.",
    "horn": "Long streaks that run one way and fade into each other.",
    "pearl": "Irregular cool clouds of colour, and the edges of the shell's layers.",
}
COPY_WHY = "The figure is the same on both, line for line: nature does not do that, a print does."
PAIR_WHY = " The two differ, as pieces of a natural material do."


def _single(level: int, dice: Random) -> tuple[str, list[Node], list[Node], list[Node]]:
    truth = dice.choice(OFFERED[level])
    base = dice.choice(BASES[truth])
    centre: Point = (180, 128)
    radius = 102.0 if level == 1 else 78.0
    figure = FIGURES[truth](dice, centre, radius, base)
    holes = 0 if truth == "metal" else dice.choice((2, 4))
    definitions, parts = face(
        "one", figure, centre, radius, base, holes=holes, nib=truth == "plastic"
    )
    shown = [note((180, 256), NAMES[truth], text_anchor="middle", font_size=15)]
    return truth, definitions, parts, shown


def _moved(figure: Figure, by: float) -> Figure:
    """The same figure again, further to the right."""
    return (node("g", *figure, transform=f"translate({by:g} 0)"),)


def _pair(dice: Random) -> tuple[str, list[Node], list[Node], list[Node]]:
    truth = dice.choice(OFFERED[3])
    looks = dice.choice(COPIED) if truth == "plastic" else truth
    base = dice.choice(BASES[looks])
    radius, first, second = 76.0, (94.0, 124.0), (266.0, 124.0)
    holes = dice.choice((2, 4))
    figure = FIGURES[looks](dice, first, radius, base)
    other = (
        _moved(figure, second[0] - first[0])
        if truth == "plastic"
        else FIGURES[looks](dice, second, radius, base)
    )
    definitions, parts = face("one", figure, first, radius, base, holes=holes, nib=False)
    more, second_parts = face("two", other, second, radius, base, holes=holes, nib=False)
    caption = label((180, 250), "two buttons of one shirt", text_anchor="middle")
    text = "the same figure twice" if truth == "plastic" else "two figures of one kind"
    bridge = shown_line("M94 205C130 215 230 215 266 205")
    shown = [bridge, note((180, 230), text, text_anchor="middle", font_size=13)]
    return truth, definitions + more, [*parts, *second_parts, caption], shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw one button large, or two of one shirt.

    Parameters
    ----------
    level : int
        1 offers three materials on a large button; 2 six on a smaller one; 3 shows two buttons of
        one shirt, where plastic copies nature.
    dice : Random
        Chance of this exercise.
    """
    truth, definitions, parts, shown = _pair(dice) if level == 3 else _single(level, dice)
    why = WHY[truth]
    if level == 3:
        why = COPY_WHY if truth == "plastic" else why + PAIR_WHY
    return Drawn(
        question=f"What {'are these buttons' if level == 3 else 'is this button'} made of?",
        title="Two buttons of one shirt" if level == 3 else "A button",
        description="The face of the button, large, with its figure, its rim and its holes."
        if level < 3
        else "The faces of two buttons side by side, with their figures.",
        body=parts,
        shown=shown,
        truth=truth,
        why=why,
        definitions=definitions,
        answers=tuple(
            Answer(
                name,
                "Plastic made to look natural" if level == 3 and name == "plastic" else NAMES[name],
            )
            for name in OFFERED[level]
        ),
        caution="A picture gives no cold and no weight: on the bench, feel it too. A test with a "
        "flame or a solvent is never asked of a sorter.",
    )


FAMILY = Family(
    id="button_material",
    name="What a button is made of",
    about="Tell pearl, horn, corozo, wood, metal and plastic by their figure.",
    zone="front",
    signal_ids=("shirt_button", "jacket_buttons"),
    draw=draw,
)
