"""Zips: what the teeth are, which one is missing, and how many."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.fastenings.zip_view import gap_at, gap_places, zip_view
from resale.training.drawings.palette import BRASS, METAL, mix, note, shown_ring

COIL = Answer("coil", "Nylon spiral")
MOULDED = Answer("moulded", "Moulded plastic teeth")
METAL_TEETH = Answer("metal", "Metal teeth")
WHOLE = Answer("whole", "All teeth there")
UPPER = Answer("upper", "A tooth is missing on the upper tape")
LOWER = Answer("lower", "A tooth is missing on the lower tape")

TAPES = ("#5d6570", "#7b6a58", "#6d7a6a", "#75647a")
SAID = {"coil": "nylon spiral", "moulded": "moulded plastic", "metal": "metal"}
WHY = {
    "coil": "One thread of nylon wound in loops along each edge, no separate teeth.",
    "moulded": "Chunky plastic teeth, each cast onto the tape, all alike and of the tape's colour.",
    "metal": "Separate metal teeth clamped on the edge of the tape, with a cup in each.",
}


def _gaps(dice: Random, kind: str, count: int, ways: tuple[int, ...]) -> set[tuple[int, int]]:
    """Places left out, never two side by side, so that each can be told."""
    places = range(2, gap_places(kind) - 2, 2)
    return {(place, dice.choice(ways)) for place in dice.sample(places, count)}


def _told(count: int) -> str:
    if count == 0:
        return "Every tooth has its fellow on the other tape."
    gaps = "gap" if count == 1 else "gaps"
    return (
        f"{count} {gaps} in the rhythm of the teeth: the bare edge of the tape shows there. "
        "A zip with a tooth gone may close once and part the next time."
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw a length of zip with its slider.

    Parameters
    ----------
    level : int
        1 asks what the teeth are, 2 whether one is missing and on which tape, 3 how many are
        missing, in a metal near the tape's colour.
    dice : Random
        Chance of this exercise.
    """
    tape, metal = dice.choice(TAPES), dice.choice((METAL, BRASS))
    kind = (
        dice.choice(("coil", "moulded", "metal"))
        if level == 1
        else dice.choice(("moulded", "metal"))
    )
    if level == 3:
        metal = mix(metal, tape, 0.6)
    truth: str | float = kind
    gaps: set[tuple[int, int]] = set()
    answers: tuple[Answer, ...] = (COIL, MOULDED, METAL_TEETH)
    question, why, unit = "What are the teeth of this zip?", WHY[kind], ""
    if level == 2:
        side = dice.choice((0, -1, 1))
        gaps = _gaps(dice, kind, 1, (side,)) if side else set()
        truth = {0: "whole", -1: "upper", 1: "lower"}[side]
        answers, question, why = (WHOLE, UPPER, LOWER), "Is a tooth missing?", _told(abs(side))
    if level == 3:
        count = dice.randint(0, 3)
        gaps = _gaps(dice, kind, count, (-1, 1))
        truth, answers, unit = float(count), (), "teeth"
        question, why = "How many teeth are missing to the left of the slider?", _told(count)
    words = {1: SAID[kind], 2: "gone here" if gaps else "all there", 3: f"{len(gaps)} missing"}[
        level
    ]
    shown = [shown_ring(gap_at(kind, *gap), 11, 15) for gap in sorted(gaps)]
    shown.append(note((150, 224), words, text_anchor="middle", font_size=14))
    return Drawn(
        question=question,
        title="A zip",
        description="A length of zip lying level: two tapes with their teeth, closed on the left "
        "of the slider and open on its right.",
        body=zip_view(kind, tape, metal, gaps),
        shown=shown,
        truth=truth,
        why=why,
        answers=answers,
        unit=unit,
        signal_ids=("zip_make", "fly_zip") if level == 1 else ("zip_fault",),
        height=256,
    )


FAMILY = Family(
    id="zip",
    name="Zips",
    about="Tell spiral, plastic and metal teeth, and find the tooth that is gone.",
    zone="hardware",
    signal_ids=("zip_make", "fly_zip", "zip_fault"),
    draw=draw,
)
