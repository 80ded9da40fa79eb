"""What strikes at a glance: chosen by what it says, and seen without a rule or a count."""

import numpy as np
import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.striking import MOST, striking_of
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms())


def says(signal, option) -> float:
    """Share times squared log effect, from the book's own figures: by hand for a worth."""
    share = np.array([one.share for one in signal.options])
    log = np.log([one.effect for one in signal.options])
    centred = log - share @ log / share.sum()
    return float(option.share * centred[signal.option_ids.index(option.id)] ** 2)


@pytest.mark.parametrize("kind", ["jacket", "bag"])
def test_what_says_most_is_on_the_card_and_what_most_things_have_is_not(kind):
    card = striking_of(VALUER, BOOK.kinds[kind])
    on = {(one.signal.id, option.id) for one in card for option in one.options}
    assert len(on) == MOST
    worths = [
        (says(signal, option), signal.id, option.id)
        for signal in BOOK.kinds[kind].signals
        for option in signal.options
        if signal.counts == "worth" and signal.measure is None and not signal.only_if
        if signal.seconds <= 8 and option.share < 0.5
    ]
    best = sorted(worths, reverse=True)[:8]
    assert {(signal, option) for _, signal, option in best} <= on
    for one in card:
        assert all(option.share < 0.5 for option in one.options)


def test_what_is_measured_takes_long_or_is_left_out_is_not_on_the_card():
    kind = BOOK.kinds["jacket"]
    signs = {one.signal.id: one.signal for one in striking_of(VALUER, kind, most=1_000)}
    assert "front_canvas" not in signs  # twelve seconds, by hand
    assert "stitch_density" not in signs
    assert "fibre_shell" in signs  # read off the label
    without = striking_of(VALUER, kind, frozenset({"stain"}), most=1_000)
    assert {one.signal.id for one in without} == set(signs) - {"stain"}
    places = [list(kind.by_id).index(one) for one in signs]
    assert places == sorted(places)
