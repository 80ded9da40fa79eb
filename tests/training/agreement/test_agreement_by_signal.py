"""Answers of invented sorters, gathered signal by signal."""

import numpy as np
import pytest

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.agreement.by_signal import Answer, agreement_by_signal, distances_of
from resale.training.agreement.kappa import cohen_kappa

BOOK = load_rule_book()
SHIRT = BOOK.kinds["shirt"]


def answers(signal, columns, kind="shirt"):
    """Answers from a mapping of sorter to option codes; None is not looked at."""
    options = BOOK.kinds[kind].by_id[signal].option_ids
    return [
        Answer(f"I{place}", sorter, kind, signal, options[code])
        for sorter, codes in columns.items()
        for place, code in enumerate(codes)
        if code is not None
    ]


def found(given, **kwargs):
    return agreement_by_signal(BOOK, given, random=np.random.default_rng(2), draws=50, **kwargs)


def test_the_weakest_signal_comes_first_and_the_lead_stands_second():
    given = answers("pilling", {"lead": [0, 1, 2, 3, 4] * 4, "Ana": [0, 1, 2, 3, 4] * 4})
    given += answers("odour", {"lead": [0, 1, 2, 3] * 5, "Ana": [1, 2, 3, 3] * 5})
    weak, strong = found(given, leads={"lead"})
    assert (weak.signal.id, strong.signal.id) == ("odour", "pilling")
    pair = weak.pairs[0]
    assert (pair.first, pair.second) == ("Ana", "lead")
    assert pair.same == pytest.approx(0.25)
    assert pair.bias.steps == pytest.approx(0.75)
    assert "more kindly than the lead" in pair.bias.sentence("Ana", "the lead")
    assert strong.alpha.value == pytest.approx(1)


def test_a_ladder_weighs_by_steps_squared_and_a_choice_counts_all_alike():
    columns = {"lead": [0, 1, 2, 3, 3, 2, 1, 0], "Ana": [0, 1, 1, 3, 2, 2, 0, 3]}
    ladder = found(answers("odour", columns), leads={"lead"})[0].pairs[0]
    choice = found(answers("care_label", columns), leads={"lead"})[0].pairs[0]
    assert ladder.table.tolist() == choice.table.tolist()
    assert ladder.kappa.value == cohen_kappa(ladder.table, weights="quadratic").value
    assert choice.kappa.value == cohen_kappa(ladder.table).value
    assert choice.bias is None


def test_the_same_fault_in_another_place_is_one_step_away():
    signal = SHIRT.by_id["stain"]
    apart = distances_of(signal)
    place = {option_id: i for i, option_id in enumerate(signal.option_ids)}
    assert apart[place["none"], place["seen_2"]] == 4
    assert apart[place["hidden_2"], place["seen_2"]] == 1
    assert apart[place["hidden_1"], place["seen_3"]] == 9
    assert not np.diag(apart).any()
    assert (apart == apart.T).all()


def test_sorters_who_never_met_an_item_make_no_pair():
    given = answers("odour", {"A": [0, 1, 2, None, None], "B": [0, 1, 2, 3, None]})
    given += [Answer("I9", "C", "shirt", "odour", "none")]
    only = found(given)[0]
    assert only.sorters == ("A", "B", "C")
    assert [(pair.first, pair.second) for pair in only.pairs] == [("A", "B")]
    assert only.alpha.items == 3


def test_one_signal_of_two_kinds_is_one_signal():
    given = answers("odour", {"A": [0, 1], "B": [0, 2]})
    given += [
        Answer("J1", sorter, "jacket", "odour", option)
        for sorter, option in (("A", "faint"), ("B", "faint"))
    ]
    assert found(given)[0].alpha.items == 3


def test_a_second_answer_replaces_the_first():
    given = answers("odour", {"A": [0, 1, 2], "B": [0, 1, 3]})
    given.append(Answer("I2", "B", "shirt", "odour", "faint"))
    assert found(given)[0].pairs[0].same == 1


def test_an_answer_that_the_book_does_not_know_is_named():
    with pytest.raises(ReadingError, match="not an option of odour"):
        found([Answer("I1", "A", "shirt", "odour", "lovely")])


def test_signals_that_only_one_sorter_read_are_left_out():
    assert found(answers("odour", {"A": [0, 1, 2]})) == ()
