"""A family of drawings, and what one drawing of it hands over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from random import Random

from resale.training.drawings.exercise import Answer, Exercise, dice, steered
from resale.training.drawings.palette import HEIGHT, WIDTH, sheet
from resale.training.drawings.svg import Node, document


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a family draws: the picture, the question, and the truth.

    Attributes
    ----------
    question, why, caution : str
        As in `Exercise`.
    title, description : str
        What is drawn, for those who cannot see it; never the answer.
    body, shown, definitions : sequence of Node
        The drawing, what the reveal draws over it, and tiles and windows both refer to.
    answers, truth, unit, tolerance
        As in `Exercise`.
    signal_ids : tuple of str
        Signals that this one drawing teaches, where not all of its family's.
    height : float
        Height of the sheet; the width is the same for all.
    """

    question: str
    title: str
    description: str
    body: Sequence[Node]
    shown: Sequence[Node]
    truth: str | float
    why: str
    definitions: Sequence[Node] = ()
    answers: tuple[Answer, ...] = ()
    unit: str = ""
    tolerance: float = 0.0
    caution: str = ""
    signal_ids: tuple[str, ...] = ()
    height: float = HEIGHT


@dataclass(frozen=True, slots=True)
class Family:
    """A family of drawings.

    Attributes
    ----------
    id, name, about : str
        Name in the data, name on screen, one sentence on what it trains.
    zone : str
        Zone of the rule book.
    signal_ids : tuple of str
        Signals of the rule book that it teaches.
    draw : callable
        From a level and a source of chance to a drawing.
    """

    id: str
    name: str
    about: str
    zone: str
    signal_ids: tuple[str, ...]
    draw: Callable[[int, Random], Drawn]

    def make(self, level: int, seed: int) -> Exercise:
        """Draw one exercise.

        Parameters
        ----------
        level : int
            1 to 3, 3 the hardest.
        seed : int
            The same level and seed give the same exercise, letter for letter.
        """
        return self._written(level, seed, dice(self.id, level, seed))

    def look(self, level: int, seed: int) -> Drawn:
        """Draw the same exercise and do not write it: what it asks, and what is true.

        Parameters
        ----------
        level, seed : int
            Of the exercise.
        """
        drawn = self.draw(level, dice(self.id, level, seed))
        return drawn if drawn.signal_ids else replace(drawn, signal_ids=self.signal_ids)

    def make_as(self, level: int, seed: int, truth: str) -> Exercise | None:
        """Draw the same exercise with another answer true; None where it cannot be steered so.

        Parameters
        ----------
        level, seed : int
            Of the exercise.
        truth : str
            Id of the answer that is to be true.
        """
        made = self._written(level, seed, steered(self.id, level, seed, truth))
        return made if made.truth == truth else None

    def _written(self, level: int, seed: int, chance: Random) -> Exercise:
        drawn = self.draw(level, chance)
        key = f"{self.id.replace('_', '-')}-{level}-{seed}"
        return Exercise(
            family=self.id,
            level=level,
            seed=seed,
            question=drawn.question,
            svg=_written(drawn, key, revealed=False),
            reveal_svg=_written(drawn, f"{key}-shown", revealed=True),
            answers=drawn.answers,
            truth=drawn.truth,
            why=drawn.why,
            signal_ids=drawn.signal_ids or self.signal_ids,
            zone=self.zone,
            unit=drawn.unit,
            tolerance=drawn.tolerance,
            caution=drawn.caution,
        )


def _written(drawn: Drawn, key: str, *, revealed: bool) -> str:
    body = [sheet(drawn.height), *drawn.body]
    description = drawn.description
    if revealed:
        body.extend(drawn.shown)
        description = f"{description} {drawn.why}"
    return document(
        key,
        title=drawn.title,
        description=description,
        size=(WIDTH, drawn.height),
        body=body,
        definitions=drawn.definitions,
    )
