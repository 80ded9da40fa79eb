"""The invented drill answers are made again as they lie there, and are judged as the Drill does."""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
from pathlib import Path

import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned
from resale.web.training.cards import drill_question

FOLDER = Path(__file__).parents[2] / "demo_data"
sys.path.insert(0, str(FOLDER))

import drill_answers  # noqa: E402


@pytest.fixture(scope="module")
def lying_there() -> list[dict[str, str]]:
    with (FOLDER / drill_answers.FILE).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_same_habits_give_the_same_answers(lying_there):
    """One of the three, as drawing takes its time; `drill_answers.py` makes all of them."""
    again = list(drill_answers.rows(load_rule_book(), "Cato"))
    assert again == [row for row in lying_there if row["sorter"] == "Cato"]


def test_every_answer_is_one_that_its_card_can_have_and_is_judged_by_it(lying_there):
    """Every seventh: a card has to be drawn to be judged."""
    book = load_rule_book()
    for row in lying_there[::7]:
        drill = Drill(row["family"], int(row["level"]))
        card = drill_question(book, Planned(drill, int(row["seed"]), "new"))
        assert card.taken(row["answer"]) == row["answer"]
        assert (card.truth, tuple(row["signals"].split())) == (row["truth"], card.signal_ids)
        assert card.is_right(row["answer"]) == (row["right"] == "yes")


def test_each_of_them_has_the_weakness_that_was_built_in(lying_there):
    right: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for row in lying_there:
        right[row["sorter"], row["family"]].append(row["right"] == "yes")
    share = {key: sum(many) / len(many) for key, many in right.items() if len(many) >= 6}
    for sorter, family in (("Brenn", "pilling"), ("Dwyn", "button_material")):
        assert share[sorter, family] == min(s for (who, _), s in share.items() if who == sorter)
    kind = [row for row in lying_there if row["sorter"] == "Brenn" and row["family"] == "pilling"]
    assert all(row["answer"] >= row["truth"] for row in kind)
    pace = defaultdict(list)
    for row in lying_there:
        pace[row["sorter"]].append(float(row["seconds"]))
    mean = {who: sum(many) / len(many) for who, many in pace.items()}
    assert mean["Cato"] < mean["Brenn"] < mean["Dwyn"]
