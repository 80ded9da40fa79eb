"""A session chosen by what misreading costs: its length, what it meets, and what comes back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from random import Random

import pytest
from demo_shop import shop_book

from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.safety.holds import answers_that_raise
from resale.training.drawings import make
from resale.training.practice.by_stake import choose_by_stake
from resale.training.practice.contrasts import WITHIN, Given, after_answer, with_contrasts
from resale.training.practice.drawn_drills import drawn_drills, is_drawn
from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import Planned
from resale.training.stake.moves import moves_of
from resale.training.stake.stakes import Stake, stakes_of

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
# Sixty shirts, 48 trousers and so on, as the invented shop's items have them.
KINDS = {"shirt": 60.0, "trousers": 48.0, "jacket": 32.0, "shoes": 32.0, "bag": 28.0}


@cache
def stakes() -> dict[str, Stake]:
    """What a beginner's mistakes cost the invented shop, by the rules of the book alone."""
    book = shop_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    holding = {
        kind.id: {
            one.id: frozenset(o for o in one.option_ids if answers_that_raise({one.id: o}))
            for one in kind.signals
        }
        for kind in book.kinds.values()
    }
    moves = {k.id: moves_of(valuer, k, holding[k.id]) for k in book.kinds.values()}
    return stakes_of(moves, KINDS, {})


def test_of_the_twenty_dearest_signs_most_have_a_drawing_and_are_met_in_the_first_week() -> None:
    """Five days of two sessions, three of four answers right. The hand of a cloth has no drawing:
    it is felt."""
    found = stakes()
    drawn = {sign for drill in drawn_drills() for sign in drill.signal_ids}
    dear = [sign for sign in list(found)[:20] if sign in drawn]
    assert len(dear) >= 17
    progress, random, met = Progress(), Random(4), set()  # noqa: S311
    for number in range(10):
        now = START + timedelta(days=number // 2, hours=4 * (number % 2))
        plan = choose_by_stake(drawn_drills(), progress, now, random, found)
        assert len(plan) == 11
        for one in plan:
            made = make(one.drill.family, one.drill.level, one.seed)
            met |= set(made.signal_ids)
            progress = progress.answered(one.drill, random.random() < 0.75, 12, now)
    assert set(dear) <= met, set(dear) - met


@pytest.mark.parametrize("right", [0.0, 0.5])
def test_who_reads_most_wrong_still_meets_something_new_in_every_session(right: float) -> None:
    """Mix-ups come back within the session, and must not be all that is left of it."""
    found, drills, luck = stakes(), drawn_drills(), Random(6)  # noqa: S311
    progress, met = Progress(), set[str]()
    for number in range(10):
        now = START + timedelta(days=number // 2, hours=4 * (number % 2))
        plan = choose_by_stake(drills, progress, now, luck, found)
        before, given = set(met), list[Given]()
        for place in range(1, len(plan) + 1):
            card = with_contrasts(plan, given)[place - 1]
            made = make(card.drill.family, card.drill.level, card.seed)
            others = [one.id for one in made.answers if one.id != str(made.truth)]
            good = luck.random() < right
            said = str(made.truth) if good or not others else luck.choice(others)
            given.append(Given(place, said, str(made.truth), good))
            progress = after_answer(progress, card, given[-1], 12.0, now)
            met.add(card.drill.family)
        assert met > before


def test_a_session_has_as_many_cards_as_were_promised_and_safety_is_in_it() -> None:
    found = stakes()
    for places in (9, 15, 24):
        plan = choose_by_stake(
            drawn_drills(),
            Progress(),
            START,
            Random(1),  # noqa: S311
            found,
            places=places,
        )
        assert len(plan) == places
        assert sum(one.why == "safety" for one in plan) == 2
        assert all(found[one.sign].holds > 0 for one in plan if one.why == "safety")


def test_a_mixed_up_pair_comes_back_within_three_cards_and_makes_the_session_no_longer() -> None:
    guests = Drill("guests", 2, "", ("mould", "pests"), "wear", 12.0)
    plan = tuple(Planned(guests, seed, "new") for seed in range(8))
    truth = str(make("guests", 2, 1).truth)
    said = next(one for one in ("mould", "live", "signs", "lint") if one != truth)
    after = with_contrasts(plan, [Given(2, said, truth, False)])
    assert len(after) == len(plan) and after[:2] == plan[:2]
    (back,) = [place for place, one in enumerate(after, 1) if one.why == "pair"]
    assert 2 < back <= 2 + WITHIN
    seed = after[back - 1].seed
    assert make("guests", 2, seed).truth in {truth, said}
    # Right answers bring nothing back, and at the last card there is no room left.
    assert with_contrasts(plan, [Given(2, truth, truth, True)]) == plan
    assert with_contrasts(plan, [Given(8, said, truth, False)]) == plan
    # The schedule keeps the pair, so that the next session begins with it.
    progress = after_answer(Progress(), plan[1], Given(2, said, truth, False), 12.0, START)
    assert f"guests/2/{'~'.join(sorted((truth, said)))}" in progress.drills
    later = START + timedelta(days=1)
    following = choose_by_stake(drawn_drills(), progress, later, Random(1), stakes())  # noqa: S311
    assert "pair" in [one.why for one in following[:WITHIN]]
    assert all(is_drawn(one.drill) for one in following)
