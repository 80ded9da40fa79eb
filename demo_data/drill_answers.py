"""Make the invented shop's drill answers anew: `python demo_data/drill_answers.py`.

The sorters of second_looks.py practise at the third desk; nobody here exists. What they fail is
what they misread on real clothes. Brenn takes pills for fewer than they are. Cato answers fast,
slips everywhere a little, and has not practised for more than a week. Dwyn is slow, practises most
and gets better, but mixes up what buttons are made of. Sessions are chosen as for anybody, from the
drawings alone, so that a changed word of the rule book changes nothing here.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from random import Random

import numpy as np
from asked_folder import asked_folder
from streams import SEED, stream

from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.training.drawings.families import FAMILIES
from resale.training.practice.drawn_drills import drawn_drills
from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import Planned, choose_session
from resale.web.training.cards import DrillQuestion, drill_question

FILE = "drill_answers.csv"
HEAD = (
    "sorter",
    "session",
    "minutes_ago",
    "family",
    "level",
    "seed",
    "signals",
    "answer",
    "truth",
    "right",
    "seconds",
)
# Any moment serves: only the distance from it is written.
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
MOST_CARDS = 12
CLEAN = "5"
"""The grade of cloth without pills."""
AT_FIRST, EACH_TIME, EACH_LEVEL = 0.4, 0.14, 0.06
"""Chance of a right answer to a drill never met, what each answer adds, what each level takes."""

LEAST, MOST = 0.15, 0.97


PRACTISED = (
    "stitches",
    "sleeve_stripes",
    "pocket_check",
    "back_seam",
    "button_material",
    "button_shank",
    "shirt_details",
    "jacket_front",
    "seam_finish",
    "allowance",
    "zip",
    "plating",
    "sole",
    "false_welt",
    "heel_wear",
    "sole_left",
    "fade",
    "pilling",
    "holes",
    "cords",
)
"""Families of drawings that there were when the invented sorters practised, while the schedule
alone chose: the benchmark of the choice of cards sets today's choice beside them."""


@dataclass(frozen=True)
class Habit:
    """How somebody practises.

    Attributes
    ----------
    days_ago : tuple of int
        Days of sessions, before today.
    pace : float
        Time against the usual.
    better : float
        On the chance of a right answer, all families alike.
    weak : dict of family to chance
        Chance of a right answer where something keeps being misread, however often it is met.
    """

    days_ago: tuple[int, ...]
    pace: float
    better: float
    weak: Mapping[str, float]


HABITS = {
    "Brenn": Habit((37, 35, 31, 28, 24, 21, 17, 14, 10, 7, 3, 1), 0.95, 0.02, {"pilling": 0.25}),
    "Cato": Habit((36, 33, 29, 26, 20, 15, 9), 0.45, -0.14, {}),
    "Dwyn": Habit(
        (38, 36, 34, 32, 29, 27, 24, 22, 20, 17, 15, 13, 10, 8, 6, 3, 2, 1),
        1.35,
        0.05,
        {"button_material": 0.3},
    ),
}


def practised() -> list[Drill]:
    """The drawings that there were when they practised: later ones change nothing here."""
    return [one for one in drawn_drills() if one.family in PRACTISED]


def rows(book: RuleBook, *sorters: str) -> Iterator[dict[str, str]]:
    """Let everybody named do their sessions, one after another; all where nobody is named."""
    for sorter in sorters or HABITS:
        habit, progress = HABITS[sorter], Progress()
        for number, days in enumerate(habit.days_ago, start=1):
            dice = stream("drill answers", sorter, str(number))
            now = NOW - timedelta(days=days, minutes=int(dice.integers(0, 240)))
            random = Random(f"{SEED}/{sorter}/{number}")  # noqa: S311
            for chosen in choose_session(practised(), progress, now, random)[:MOST_CARDS]:
                planned = _telling(book, chosen, habit)
                drill = planned.drill
                before = progress.drills.get(drill.key)
                known = before.answered if before else 0
                row = _answer(book, planned, sorter, known, dice)
                seconds = float(row["seconds"])
                now += timedelta(seconds=seconds + 6)
                progress = progress.answered(drill, row["right"] == "yes", seconds, now)
                ago = round((NOW - now) / timedelta(minutes=1))
                yield {**row, "session": str(number), "minutes_ago": str(ago)}


def _telling(book: RuleBook, planned: Planned, habit: Habit) -> Planned:
    """Pass over clean cloth where somebody is too kind to pills: there they cannot go wrong."""
    if planned.drill.family != "pilling" or "pilling" not in habit.weak:
        return planned
    seeds = (replace(planned, seed=planned.seed + more) for more in count())
    return next(one for one in seeds if drill_question(book, one).truth != CLEAN)


def _answer(
    book: RuleBook, planned: Planned, sorter: str, known: int, dice: np.random.Generator
) -> dict[str, str]:
    habit, drill = HABITS[sorter], planned.drill
    question = drill_question(book, planned)
    knows = bool(dice.random() < _chance(habit, drill, known))
    seconds = habit.pace * drill.seconds * float(np.exp(0.35 * dice.standard_normal()))
    answer = question.truth if knows else _wrong(question, drill, dice)
    return {
        "sorter": sorter,
        "family": drill.family,
        "level": str(drill.level),
        "seed": str(planned.seed),
        "signals": " ".join(question.signal_ids),
        "answer": answer,
        "truth": question.truth,
        "right": "yes" if question.is_right(answer) else "no",
        "seconds": f"{min(seconds, 110):.1f}",
    }


def _chance(habit: Habit, drill: Drill, known: int) -> float:
    if drill.family in habit.weak:
        return habit.weak[drill.family]
    learned = AT_FIRST + habit.better + EACH_TIME * known - EACH_LEVEL * (drill.level - 1)
    return min(max(learned, LEAST), MOST)


def _wrong(question: DrillQuestion, drill: Drill, dice: np.random.Generator) -> str:
    """A wrong answer: a number beside the mark, a grade of pills too kind, or any other.

    Of clean cloth nobody can be too kind: there the answer is right all the same.
    """
    chance = float(dice.random())
    if question.asks_number:
        off = max(1.5 * question.tolerance, 1.0) * (1 + 2 * chance)
        truth = float(question.truth)
        return f"{max(round(truth + off if chance < 0.6 else truth - off), 0):g}"
    others = [one.id for one in question.answers if one.id != question.truth]
    if drill.family == "pilling":
        grades = sorted(one.id for one in question.answers)
        kinder = [one for one in grades if one > question.truth]
        others = kinder[:1] or [question.truth]
    return others[int(chance * len(others))]


def make(folder: Path) -> Mapping[str, int]:
    """Write drill_answers.csv into a folder."""
    written = list(rows(load_rule_book()))
    with (folder / FILE).open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, HEAD, lineterminator="\n")
        table.writeheader()
        table.writerows(written)
    return {"answers": len(written), "families": len(FAMILIES)}


if __name__ == "__main__":
    make(asked_folder("Make the answers of the invented sorters at the Drill."))
