"""The drills that are drawn: every family of drawings at every level."""

from __future__ import annotations

from collections.abc import Collection
from functools import cache
from random import Random

from resale.training.drawings.exercise import LEVELS
from resale.training.drawings.families import FAMILIES
from resale.training.practice.schedule import Drill

# Seconds that one answer usually takes, where a family takes longer than a look.
SECONDS = {"stitches": 30.0, "allowance": 18.0, "back_seam": 18.0, "sole_left": 18.0, "cords": 20.0}
LOOK = 12.0

TRIES = 24
"""Exercises that are drawn to find one that shows what is wanted; most families show it at once."""


@cache
def drawn_drills() -> tuple[Drill, ...]:
    """Every family of drawings at every level."""
    return tuple(
        Drill(one.id, level, "", one.signal_ids, one.zone, SECONDS.get(one.id, LOOK))
        for one in FAMILIES.values()
        for level in LEVELS
    )


def is_drawn(drill: Drill) -> bool:
    """Whether a drill shows a picture that the program draws."""
    return drill.family in FAMILIES


def is_picked(drill: Drill, seed: int) -> bool:
    """Whether a card shows a picture and is answered by picking, not by a number.

    Parameters
    ----------
    drill : Drill
    seed : int
        Of its exercise.
    """
    return is_drawn(drill) and bool(FAMILIES[drill.family].look(drill.level, seed).answers)


def telling_seed(drill: Drill, sign: str, truths: Collection[str], random: Random) -> int:
    """Draw the seed of an exercise that trains a sign, and whose truth is one of some answers.

    Parameters
    ----------
    drill : Drill
    sign : str
        Sign that the exercise is to train; empty where any will do.
    truths : collection of str
        Answers of which one is to be true; empty where any may be.
    random : Random

    Returns
    -------
    int
        The first of `TRIES` that does; the last one where none did.
    """
    seed = random.getrandbits(31)
    if not is_drawn(drill) or (not truths and (not sign or len(drill.signal_ids) < 2)):
        return seed
    for _ in range(TRIES):
        exercise = FAMILIES[drill.family].look(drill.level, seed)
        if (not sign or sign in exercise.signal_ids) and (not truths or exercise.truth in truths):
            break
        seed = random.getrandbits(31)
    return seed
