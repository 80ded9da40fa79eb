"""What misreading costs, worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.training.stake.misread import BEGINNER, Reading, misread_by_sign
from resale.training.stake.moves import Moves, moves_of
from resale.training.stake.stakes import A_HOLD, stakes_of

MONEY = np.array([[0.0, 4.0, 10.0], [4.0, 0.0, 6.0], [10.0, 6.0, 0.0]])
NEAR = np.array([[0.0, 0.25, 0.0], [0.25, 0.0, 0.25], [0.0, 0.25, 0.0]])
NOTHING = np.zeros((3, 3))


def moves(held: int = -1, met: float = 1.0) -> Moves:
    """Three answers, prices 0, 4 and 10 apart; neighbours are mixed up, each way alike."""
    stops = np.arange(3) == held
    holds = stops[:, None] != stops[None, :]
    return Moves(("a", "b", "c"), NEAR, MONEY, NOTHING, holds, 0.6, met, 20.0)


def test_a_beginners_stake_is_the_opinion_times_what_it_moves() -> None:
    """Misread BEGINNER x 0.6 of 100 things; neighbours differ by 4 or 6, so by 5 on average."""
    found = stakes_of({"coat": {"sign": moves()}}, {"coat": 7}, {})["sign"]
    assert found.met == pytest.approx(100)
    assert found.misread == pytest.approx(100 * BEGINNER * 0.6)
    assert found.money == pytest.approx(found.misread * 5.0)
    assert found.each == pytest.approx(5.0) and found.weight == pytest.approx(found.money)


def test_kinds_count_as_often_as_they_are_met() -> None:
    book = {"coat": {"sign": moves()}, "hat": {"sign": moves(met=0.5), "brim": moves()}}
    found = stakes_of(book, {"coat": 3, "hat": 1}, {})
    assert found["sign"].met == pytest.approx(75 + 12.5)
    assert found["brim"].met == pytest.approx(25)
    assert list(found) == ["sign", "brim"]


def test_readings_that_went_right_make_it_small_and_wrong_ones_name_the_pair() -> None:
    right = misread_by_sign([Reading("sign", "a", "a")] * 30)
    wrong = misread_by_sign([Reading("sign", "a", "c")] * 8 + [Reading("sign", "b", "b")] * 8)
    book, met = {"coat": {"sign": moves()}}, {"coat": 1}
    new, good, bad = (stakes_of(book, met, known)["sign"] for known in ({}, right, wrong))
    assert good.money < new.money / 3 < bad.money / 3
    assert bad.pair == ("c", "a")
    # What is mixed up weighs by what it moves: 10 here, where neighbours move 5.
    assert bad.each > 8


def test_a_colleagues_mistakes_and_old_ones_say_less_than_ones_own_of_today() -> None:
    def far(**how: object) -> float:
        known = misread_by_sign([Reading("s", "a", "b", **how)] * 4)["s"]  # type: ignore[arg-type]
        return known.far(0.6)

    assert far() > far(drilled=True) > far(own=False) > BEGINNER
    assert far() > far(days=60)


def test_what_can_let_a_thing_past_a_hold_comes_before_dearer_signs() -> None:
    """Of 27 misread things half are taken for the answer that holds, or it for them."""
    book = {"coat": {"dear": moves(), "safe": moves(held=2, met=0.5)}}
    found = stakes_of(book, {"coat": 1}, {})
    assert list(found) == ["safe", "dear"]
    assert found["safe"].holds == pytest.approx(found["safe"].misread * 0.5)
    assert found["safe"].weight == pytest.approx(
        found["safe"].money + found["safe"].holds * A_HOLD * 20
    )


def test_moves_of_every_kind_are_sound() -> None:
    """Mix-ups sum to one, money is even both ways, a mould taken for none costs the whole thing."""
    book = load_rule_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    for kind in book.kinds.values():
        for sign, one in moves_of(valuer, kind, {"mould": frozenset({"musty"})}).items():
            assert one.mistaken.sum() == pytest.approx(1), (kind.id, sign)
            assert not one.mistaken.diagonal().any() and not one.money.diagonal().any()
            np.testing.assert_allclose(one.money, one.money.T)
            assert 0 < one.met <= 1 and 0 <= one.variety < 1
    jacket = moves_of(valuer, book.kinds["jacket"], {"mould": frozenset({"musty"})})
    mould = jacket["mould"]
    none, musty = (mould.options.index(one) for one in ("none", "musty"))
    assert mould.holds[none, musty] and mould.money[none, musty] == mould.price
    # A crossing of tiers is a share of things, so far apart answers cross more than near ones.
    pills = jacket["pilling"].tiers
    assert 0 < pills[3, 4] < pills[0, 4]
