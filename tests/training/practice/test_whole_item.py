"""A trainee's item against the lead's: what was missed, what it cost, where it would have gone."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.training.agreement.comparison import Told, route_name
from resale.training.practice.whole_item import compare

BOOK = load_rule_book()
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms())
JACKET = BOOK.kinds["jacket"]
LEAD = {
    "fibre_shell": "wool",
    "front_canvas": "half_canvas",
    "moth": "seen_2",
    "pilling": "grade_4",
    "stain": "none",
}
TRAINEE = {
    "fibre_shell": "wool",
    "front_canvas": "full_canvas",
    "pilling": "grade_4",
    "odour": "none",
}


def show(minor):
    return f"{minor / 100:.2f}"


def compared(trainee=None, lead=None, **told):
    return compare(VALUER, "jacket", Told(trainee or TRAINEE, **told), Told(lead or LEAD))


def estimate(choices):
    return round(float(VALUER.value(one_reading(BOOK, "jacket", choices)).estimate[0]) * 100)


def by_signal(found):
    return {one.signal.id: one for one in found.differences}


def test_each_signal_is_alike_missed_seen_otherwise_or_extra():
    found = compared()
    assert {key: one.what for key, one in by_signal(found).items()} == {
        "moth": "missed",
        "stain": "missed",
        "front_canvas": "otherwise",
        "odour": "extra",
    }
    assert [signal.id for signal in found.alike] == ["fibre_shell", "pilling"]


def test_both_readings_are_valued_as_if_alone():
    found = compared()
    assert found.by_trainee.estimate == estimate(TRAINEE)
    assert found.by_lead.estimate == estimate(LEAD)


def test_what_would_let_a_held_item_through_comes_first():
    first = compared().differences[0]
    assert first.signal.id == "moth"
    assert (first.now.route, first.mended.route) == ("put_out", "hold")
    sentence = first.sentence(show)
    assert sentence.startswith(
        "Moth damage: you did not look, the lead found “Seen, one small hole”"
    )
    assert f"it puts your price {show(first.money)} too high" in sentence
    assert sentence.endswith("the route would be “Hold”, not “Put out”.")


def test_the_others_follow_by_what_they_cost():
    costs = [abs(one.money) for one in compared().differences[1:]]
    assert costs == sorted(costs, reverse=True)


def test_each_mended_reading_is_what_the_model_says_of_it():
    for signal_id, one in by_signal(compared()).items():
        choices = {**TRAINEE}
        choices.pop(signal_id, None)
        if signal_id in LEAD:
            choices[signal_id] = LEAD[signal_id]
        assert one.mended.estimate == estimate(choices)
        ratio = one.lead_factor / one.factor
        # A sign of make or of wear makes those beside it say a little less or more: some percent.
        assert estimate(choices) / estimate(TRAINEE) == pytest.approx(ratio, rel=0.05)


OPTIONS = {signal.id: [None, *signal.option_ids] for signal in JACKET.signals[:24]}


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_the_costs_sum_to_the_difference_of_the_two_prices_to_the_cent(seed):
    rng = np.random.default_rng(seed)

    def person():
        picked = {key: options[rng.integers(len(options))] for key, options in OPTIONS.items()}
        return {key: option for key, option in picked.items() if option}

    trainee, lead = person(), person()
    found = compare(VALUER, "jacket", Told(trainee), Told(lead))
    assert sum(one.money for one in found.differences) == found.money
    assert found.money == estimate(trainee) - estimate(lead)
    for one in found.differences:
        # Being off upwards never lowers the price, and the other way round, but for a cent.
        assert one.money * np.sign(one.factor - one.lead_factor) >= -1
    assert len(found.alike) + len(found.differences) == len({*trainee, *lead})


def test_the_same_reading_differs_in_nothing():
    found = compared(LEAD)
    assert (found.differences, found.money) == ((), 0)
    assert found.sentence(show) == (
        "Of the lead's 5 readings you have 5 alike, 0 otherwise and 0 not looked at; yours come "
        f"to the same price, {show(estimate(LEAD))}."
    )


def test_the_whole_in_one_sentence():
    assert compared().sentence(show) == (
        "Of the lead's 5 readings you have 2 alike, 1 otherwise and 2 not looked at; yours come "
        f"to {show(estimate(TRAINEE))} where the lead's come to {show(estimate(LEAD))}."
    )


def test_the_tier_and_the_price_that_were_given_are_judged():
    tiers = {tier.id: tier for tier in BOOK.book.tiers}
    found = compare(
        VALUER,
        "jacket",
        Told(TRAINEE, tiers["showpiece"], 9900),
        Told(LEAD, tiers["everyday"], 3000),
    )
    assert found.tier_sentence().startswith("You said Showpiece; your own readings come to ")
    assert found.tier_sentence().endswith("and the lead said Everyday.")
    assert "You wrote 99.00; your own readings come to" in found.price_sentence(show)
    assert "the lead wrote 30.00" in found.price_sentence(show)
    inside = compared(price=found.by_lead.estimate).price_sentence(show)
    assert "Yours lies inside the price band" in inside
    assert "outside" in compared(price=1).price_sentence(show)
    assert compared().tier_sentence() == compared().price_sentence(show) == ""


def test_a_difference_without_money_says_so():
    alike = next(
        (signal, one, other)
        for signal in JACKET.signals
        for one in signal.options
        for other in signal.options
        if one.id < other.id and one.effect == other.effect and signal.shape == "choice"
    )
    signal, one, other = alike
    found = compared({signal.id: one.id}, {signal.id: other.id})
    assert "moves no money here" in found.differences[0].sentence(show)


def test_a_word_that_the_book_does_not_know_is_refused():
    with pytest.raises(ReadingError, match="no signal 'wings'"):
        compared({"wings": "two"})
    with pytest.raises(ReadingError, match="kind 'kite'"):
        compare(VALUER, "kite", Told({}), Told({}))
    assert route_name("pass_on") == "Pass on"
