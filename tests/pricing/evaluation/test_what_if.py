"""What a change of a rule would do to items on hand: counted by hand, before it is saved."""

from dataclasses import replace

import numpy as np
import pytest
from changed_book import with_change
from tiny_rule_book import tiny_rule_book

from resale.errors import ModelFileError
from resale.garments.rulebook.readings import Readings, many_readings
from resale.pricing.evaluation.what_if import compared
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

TERMS = ShopTerms()


def learned_valuer(book, sales, terms):
    return Valuer(book, learn(book, *sales), terms)


def outlook(now, changed, sales, on_hand, **how):
    return compared(now, learned_valuer(changed, sales, now.terms), on_hand, **how)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return tiny_rule_book(tmp_path_factory.mktemp("book"))


@pytest.fixture(scope="module")
def on_hand(book):
    """Three boots, of which one has a sewn sole, and a shirt."""
    return many_readings(
        book,
        ["boot", "boot", "boot", "shirt"],
        [{"sole": "sewn", "wear": "good"}, {"sole": "glued"}, {}, {"button": "shell"}],
        [""] * 4,
    )


@pytest.fixture(scope="module")
def no_sales(book):
    nothing = Readings(np.empty(0, np.intp), np.empty((0, len(book.signal_ids)), np.int16), ())
    return nothing, np.empty(0)


@pytest.fixture(scope="module")
def many_sales(book):
    """Boots with a sewn sole brought 1.6 times those with a glued one, in 400 sales."""
    rng = np.random.default_rng(1)
    sewn = rng.random(400) < 0.3
    words = [{"sole": "sewn" if one else "glued"} for one in sewn]
    readings = many_readings(book, ["boot"] * 400, words, [""] * 400)
    return readings, 40 * np.where(sewn, 1.6, 1.0) * np.exp(0.2 * rng.normal(size=400))


def test_a_change_of_one_rule_is_told_for_the_items_it_touches(book, no_sales, on_hand):
    """By hand, rules alone: sewn is 1.3 against the mean of its signal, exp(0.8 log 0.95 +
    0.2 log 1.3); at 2.0 its factor grows by (2 / 1.3) ** 0.8 = 1.411, and that of glued shrinks
    by (2 / 1.3) ** -0.2 = 0.917. Boot 3 was not looked at; the shirt has no sole."""
    now = learned_valuer(book, no_sales, TERMS)
    found = outlook(now, with_change(book, "boot", "sole", "sewn", effect=2.0), no_sales, on_hand)
    assert (found.items, found.tickets, found.higher, found.lower) == (4, 2, 1, 1)
    assert [one.item for one in found.examples] == [0, 1]
    # Factors are rounded to four decimals and money to cents.
    assert found.examples[0].factor == pytest.approx((2 / 1.3) ** 0.8, abs=0.001)
    assert found.examples[1].factor == pytest.approx((2 / 1.3) ** -0.2, abs=0.001)


def test_counts_and_sums_are_those_of_two_valuations_side_by_side(book, no_sales, on_hand):
    changed = with_change(book, "boot", "sole", "sewn", effect=2.0)
    before = Valuer(book, rules_alone(book), TERMS).value(on_hand)
    after = Valuer(changed, rules_alone(changed), TERMS).value(on_hand)
    found = outlook(learned_valuer(book, no_sales, TERMS), changed, no_sales, on_hand)
    moved = after.ticket - before.ticket
    assert found.ticket_sum_before == before.ticket.sum()
    assert found.ticket_sum_after == after.ticket.sum()
    assert found.largest == np.abs(moved).max()
    assert found.typical == np.median(np.abs(moved[moved != 0]))
    assert found.tiers == (before.tier != after.tier).sum() == 1
    assert found.tier_moves == {("Salvage", "Showpiece"): 1}
    first = found.examples[0]
    assert (first.tier_before, first.tier_after) == ("Salvage", "Showpiece")
    assert (first.ticket_before, first.ticket_after) == (before.ticket[0], after.ticket[0])


def test_a_route_that_changes_is_counted(book, no_sales, on_hand):
    """A shirt whose estimate falls under the least ticket is passed on."""
    terms = replace(TERMS, least_ticket=12.0)
    now = learned_valuer(book, no_sales, terms)
    found = outlook(now, with_change(book, None, "button", "shell", effect=0.5), no_sales, on_hand)
    assert found.routes == 1
    change = next(one for one in found.examples if one.item == 3)
    assert (change.route_before, change.route_after) == ("put_out", "pass_on")


def test_a_change_that_changes_nothing_says_so(book, no_sales, on_hand):
    now = learned_valuer(book, no_sales, TERMS)
    found = outlook(now, book, no_sales, on_hand)
    assert (found.tiers, found.routes, found.tickets, found.examples) == (0, 0, 0, ())
    assert (found.typical, found.largest, found.tier_moves) == (0.0, 0.0, {})


def test_many_sales_leave_little_of_a_changed_opinion(book, no_sales, many_sales, on_hand):
    changed = with_change(book, "boot", "sole", "sewn", effect=2.0)
    alone, learned = (
        np.log(
            learned_valuer(changed, sales, TERMS).value(on_hand).estimate[0]
            / learned_valuer(book, sales, TERMS).value(on_hand).estimate[0]
        )
        for sales in (no_sales, many_sales)
    )
    assert abs(learned) < 0.1 * abs(alone)
    now = learned_valuer(book, many_sales, TERMS)
    assert outlook(now, changed, many_sales, on_hand).tickets == 0


def test_a_smaller_doubt_holds_the_sales_off(book, many_sales, on_hand):
    """The sales say 1.6; the surer the book is of 1.3, the less they move it."""
    surer = with_change(book, "boot", "sole", "sewn", doubt=0.001)
    surer = with_change(surer, "boot", "sole", "glued", doubt=0.001)
    found = outlook(learned_valuer(book, many_sales, TERMS), surer, many_sales, on_hand)
    assert next(one for one in found.examples if one.item == 0).factor < 0.99


def test_examples_are_the_largest_first_and_no_more_than_asked_for(book, no_sales):
    items = many_readings(book, ["boot"] * 30, [{"sole": "sewn"}] * 29 + [{}], [""] * 30)
    changed = with_change(book, "boot", "sole", "sewn", effect=1.6)
    found = outlook(learned_valuer(book, no_sales, TERMS), changed, no_sales, items, listed=4)
    assert found.tickets == 29
    assert len(found.examples) == 4


def test_without_items_there_is_nothing_to_tell(book, no_sales, on_hand):
    changed = with_change(book, "boot", "sole", "sewn", effect=2.0)
    none = on_hand.rows(np.empty(0, dtype=np.intp))
    found = outlook(learned_valuer(book, no_sales, TERMS), changed, no_sales, none)
    assert (found.items, found.tickets, found.ticket_sum_after) == (0, 0, 0.0)


def test_a_model_of_another_book_is_not_compared(book, many_sales, on_hand):
    changed = with_change(book, "boot", "sole", "sewn", effect=2.0)
    model = learn(book, *many_sales)
    with pytest.raises(ModelFileError):
        compared(Valuer(book, model, TERMS), Valuer(changed, model, TERMS), on_hand)
