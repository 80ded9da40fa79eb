"""One drawn exercise: a question, a drawing, what may be answered, and the truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

LEVELS = (1, 2, 3)


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing that may be answered."""

    id: str
    text: str


def words_of(answers: Sequence[Answer], name: str) -> str:
    """The words of one answer.

    Parameters
    ----------
    answers : sequence of Answer
    name : str
        Of one of them.
    """
    return next(one.text for one in answers if one.id == name)


@dataclass(frozen=True, slots=True)
class Exercise:
    """A drawn exercise with known truth.

    Attributes
    ----------
    family : str
        Which family of drawings.
    level : int
        1 to 3, 3 the hardest.
    seed : int
        The same family, level and seed give the same exercise, letter for letter.
    question : str
        One sentence.
    svg, reveal_svg : str
        The drawing, and the same drawing with the truth measured over it.
    answers : tuple of Answer
        What may be picked; empty where a number is asked for.
    truth : str or float
        Id of the right answer, or the right number.
    why : str
        The reason, in words.
    signal_ids : tuple of str
        Signals of the rule book that this teaches; may be empty.
    zone : str
        Where the hand is.
    unit : str
        Unit of the number; empty for a pick.
    tolerance : float
        How far a number may be off and still count as right.
    caution : str
        What the drawing must not be taken for; empty for most.
    """

    family: str
    level: int
    seed: int
    question: str
    svg: str
    reveal_svg: str
    answers: tuple[Answer, ...]
    truth: str | float
    why: str
    signal_ids: tuple[str, ...]
    zone: str
    unit: str = ""
    tolerance: float = 0.0
    caution: str = ""

    @property
    def asks_number(self) -> bool:
        """Whether a number is asked for rather than a pick."""
        return not self.answers

    def is_right(self, reply: str | float) -> bool:
        """Say whether a reply is right; a number may be off by the tolerance."""
        if isinstance(self.truth, str) or isinstance(reply, str):
            return reply == self.truth
        # A hair more than the tolerance, so that 2.3 against 2.0 within 0.3 counts as right.
        return abs(reply - self.truth) <= self.tolerance + 1e-9


class Steered(Random):
    """Chance that picks one answer wherever answers are drawn, and is as before everywhere else.

    So the same exercise can be drawn with another truth: same cloth, same place, same light.
    """

    wanted = ""

    def choice(self, seq: Any) -> Any:
        """Draw as ever, and give the wanted answer where it is among them."""
        drawn = super().choice(seq)
        for one in seq:
            if self.wanted and (one.id if isinstance(one, Answer) else one) == self.wanted:
                return one
        return drawn


def steered(family: str, level: int, seed: int, truth: str) -> Steered:
    """The source of chance of one exercise, steered towards another truth.

    Parameters
    ----------
    family : str
    level, seed : int
    truth : str
        Id of the answer that is to be true.
    """
    chance = Steered(f"{family}/{level}/{seed}")
    chance.wanted = truth
    return chance


def dice(family: str, level: int, seed: int) -> Random:
    """Return the source of chance of one exercise; the same three give the same draws.

    Parameters
    ----------
    family : str
        Id of the family of drawings.
    level : int
        1 to 3.
    seed : int
        Number of the exercise within its family and level.
    """
    # Repeatable by design: a drill keeps no secret.
    return Random(f"{family}/{level}/{seed}")  # noqa: S311
