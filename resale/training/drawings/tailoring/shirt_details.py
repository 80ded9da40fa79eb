"""Three small marks of care on a shirt: side gusset, split yoke, button above the cuff."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import label, note, shown_ring
from resale.training.drawings.svg import Node
from resale.training.drawings.tailoring.shirt_parts import DRAWERS, RINGS, Shirt

DETAILS = ("gusset", "yoke", "gauntlet")
SIGNALS = {"gusset": "side_gusset", "yoke": "shirt_yoke", "gauntlet": "gauntlet_button"}
ASKED = {
    "gusset": "Is there a gusset where the side seam ends at the hem?",
    "yoke": "Is the yoke split at the centre of the back?",
    "gauntlet": "Is there a button on the slit above the cuff?",
}
SAID = {
    "gusset": "a gusset at the side hem",
    "yoke": "a split yoke",
    "gauntlet": "a button above the cuff",
}
TOLD = {
    ("gusset", True): "A small patch is sewn over the end of the side seam, so that it cannot "
    "tear upward.",
    ("gusset", False): "The side seam ends bare at the hem: no patch over it.",
    ("yoke", True): "A seam runs down the middle of the yoke and the stripes meet there in a V.",
    ("yoke", False): "The yoke is one piece, its stripes level; that is no fault.",
    ("gauntlet", True): "A small button keeps the slit shut above the cuff.",
    ("gauntlet", False): "The slit above the cuff has no button.",
}
COUNTS = ("None of the three", "One of the three", "Two of the three", "All three")
PRESENT = (Answer("present", "Yes, it is there"), Answer("absent", "No"))


def _one(dice: Random) -> Drawn:
    detail, present = dice.choice(DETAILS), dice.random() < 0.5
    parts, tiles = DRAWERS[detail](
        Shirt.picked(dice, faint=False), present, (12, 14, 336, 228), "one"
    )
    x, y, rx, ry = RINGS[detail]
    ring = shown_ring((12 + x * 336, 14 + y * 228), rx * 336, ry * 228)
    words = SAID[detail] if present else f"no {SAID[detail].split(' ', 1)[1]}"
    return Drawn(
        question=ASKED[detail],
        title="A detail of a shirt",
        description="A close view of one place of a shirt: the side hem, the yoke from behind, or "
        "the slit above the cuff.",
        body=parts,
        shown=[ring, note((180, 256), words, text_anchor="middle", font_size=14)],
        truth="present" if present else "absent",
        why=TOLD[(detail, present)],
        definitions=tiles,
        answers=PRESENT,
        signal_ids=(SIGNALS[detail],),
    )


def _three(shirt: Shirt, there: dict[str, bool]) -> tuple[list[Node], list[Node], list[Node]]:
    body: list[Node] = []
    tiles: list[Node] = []
    shown: list[Node] = []
    for place, detail in enumerate(DETAILS):
        box = (8.0 + 116 * place, 20.0, 112.0, 196.0)
        parts, more = DRAWERS[detail](shirt, there[detail], box, detail)
        body += parts
        tiles += more
        body.append(
            label(
                (box[0] + 56, 236),
                {"gusset": "side hem", "yoke": "yoke, from behind", "gauntlet": "above the cuff"}[
                    detail
                ],
                text_anchor="middle",
                font_size=11,
            )
        )
        x, y, rx, ry = RINGS[detail]
        if there[detail]:
            shown.append(
                shown_ring((box[0] + x * box[2], box[1] + y * box[3]), rx * box[2], ry * box[2])
            )
    return body, tiles, shown


def _which(level: int, dice: Random) -> Drawn:
    if level == 2:
        only = dice.choice((*DETAILS, "none"))
        there = {detail: detail == only for detail in DETAILS}
        truth = only
        answers = (
            Answer("none", "None of them"),
            *(Answer(detail, SAID[detail].capitalize()) for detail in DETAILS),
        )
        question = "Which of these marks of care does this shirt have?"
    else:
        there = {detail: dice.random() < 0.5 for detail in DETAILS}
        truth = str(sum(there.values()))
        answers = tuple(Answer(str(k), words) for k, words in enumerate(COUNTS))
        question = "How many of gusset, split yoke and button above the cuff are there?"
    body, tiles, shown = _three(Shirt.picked(dice, faint=level == 3), there)
    found = [SAID[detail] for detail in DETAILS if there[detail]]
    words = " + ".join(found) if found else "none"
    return Drawn(
        question=question,
        title="Three places of one shirt",
        description="Three close views of a shirt: the end of the side seam at the hem, the yoke "
        "from behind, and the slit above the cuff.",
        body=body,
        shown=[
            *shown,
            note(
                (180, 256),
                words if len(found) < 2 else f"{len(found)} of three",
                text_anchor="middle",
                font_size=13,
            ),
        ],
        truth=truth,
        why=" ".join(TOLD[(detail, there[detail])] for detail in DETAILS),
        definitions=tiles,
        answers=answers,
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw one place of a shirt, or three.

    Parameters
    ----------
    level : int
        1 shows one place of a shirt and asks what it tells; 2 and 3 show three and ask which, at 3
        in a faint stripe.
    dice : Random
        Chance of this exercise.
    """
    return _one(dice) if level == 1 else _which(level, dice)


FAMILY = Family(
    id="shirt_details",
    name="Gusset, yoke, gauntlet",
    about="Find the small marks of care on a shirt: side gusset, split yoke, gauntlet button.",
    zone="hem",
    signal_ids=("side_gusset", "shirt_yoke", "gauntlet_button"),
    draw=draw,
)
