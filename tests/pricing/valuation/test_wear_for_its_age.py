"""What age gives back of the wear: DERIVED numbers, by hand and by brute force."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.dating.collectable import (
    AGE_SIGN,
    NEVER_EXCUSED,
    OLD,
    collectable_codes,
)
from resale.garments.rulebook.readings import Readings, one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import fit_book, learn, rules_alone
from resale.pricing.valuation.comparables import PastSales
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.shown_contributions import FOR_ITS_AGE
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
COUNTS = 0.6
ALIKE = Valuer(BOOK, rules_alone(BOOK), ShopTerms(old_wear_counts=1.0))
VALUER = replace(ALIKE, terms=ShopTerms(old_wear_counts=COUNTS))
AGED = [kind.id for kind in BOOK.kinds.values() if collectable_codes(kind)]
WORN = {"stain": "seen_3", "fading": "grade_2"}
OLD_LABEL = {AGE_SIGN: "older_label"}


def given_back(told) -> list:
    return [one for one in told.contributions if one.name == FOR_ITS_AGE]


def test_names_of_signs_and_answers_are_those_of_the_book():
    every = {signal.id for kind in BOOK.kinds.values() for signal in kind.signals}
    assert every >= NEVER_EXCUSED
    assert set(BOOK.kinds["jacket"].by_id[AGE_SIGN].option_ids) >= OLD


def test_one_fault_on_an_old_dress_by_hand():
    """A fault that takes off by e^-a, of which 0.6 counts: e^(0.4 a) comes back, and no more."""
    alone = explain(VALUER, one_reading(BOOK, "dress", {"stain": "seen_3"}))
    (stain,) = alone.contributions
    old = explain(VALUER, one_reading(BOOK, "dress", {"stain": "seen_3", **OLD_LABEL}))
    (back,) = given_back(old)
    assert back.factor == pytest.approx(stain.factor**-0.4, abs=5e-5)
    (again,) = (one for one in old.contributions if one.signal == "stain")
    assert again.factor == stain.factor
    beside = [one.signal or one.name for one in old.contributions]
    assert beside.index(FOR_ITS_AGE) == beside.index(AGE_SIGN) + 1


def test_smell_counts_in_full_at_any_age():
    for smell in ({"odour": "strong"}, {"pests": "live"}, {"mould": "growth"}):
        if not set(smell.values()) <= set(BOOK.kinds["coat"].by_id[next(iter(smell))].option_ids):
            continue
        assert not given_back(explain(VALUER, one_reading(BOOK, "coat", {**smell, **OLD_LABEL})))


@pytest.mark.parametrize(
    "item",
    [
        {"stain": "seen_3"},
        {**WORN, AGE_SIGN: "recent_decades"},
        {**WORN, AGE_SIGN: "undatable"},
        {"stain": "none", **OLD_LABEL},
    ],
)
def test_what_is_not_dated_as_wanted_or_not_worn_stays_as_it_is(item):
    for kind in ("dress", "jacket", "knitwear"):
        one = one_reading(BOOK, kind, item)
        assert explain(VALUER, one) == explain(ALIKE, one)


def test_a_coated_raincoat_of_thirty_years_is_merely_old():
    one = one_reading(BOOK, "rainwear", {"stain": "seen_3", **OLD_LABEL})
    assert explain(VALUER, one) == explain(ALIKE, one)


def test_wear_that_age_excuses_opens_a_better_tier_and_a_gate_does_not():
    fine = {"label_standing": "luxury", **OLD_LABEL}
    soft = {"fading": "grade_3", "pilling": "grade_3", "creased": "set_in"}
    soft = one_reading(BOOK, "dress", {**fine, **soft})
    assert VALUER.value(soft).tier[0] < ALIKE.value(soft).tier[0]
    torn = one_reading(BOOK, "dress", {**fine, "hole": "seen_5"})
    assert VALUER.value(torn).cap[0] == ALIKE.value(torn).cap[0]
    assert VALUER.value(torn).tier[0] >= VALUER.value(torn).cap[0]


def drawn(seed: int, count: int, kind: str) -> Readings:
    """Things of a kind with half of the signs read, all wear among them, a third of them old."""
    rng = np.random.default_rng(seed)
    codes = np.full((count, len(BOOK.signal_ids)), -1, dtype=np.int16)
    for signal in BOOK.kinds[kind].signals:
        shown = rng.integers(0, len(signal.options), count)
        seen = rng.random(count) < (1.0 if signal.about == "wear" else 0.5)
        codes[:, BOOK.signal_ids.index(signal.id)] = np.where(seen, shown, -1)
    old = BOOK.kinds[kind].by_id[AGE_SIGN].option_ids.index("union_or_utility")
    age = BOOK.signal_ids.index(AGE_SIGN)
    codes[:, age] = np.where(rng.random(count) < 0.4, old, codes[:, age])
    return Readings(np.full(count, list(BOOK.kinds).index(kind), np.intp), codes, ("",) * count)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(AGED))
def test_factors_and_money_add_up_and_a_batch_is_its_items(seed, kind):
    items = drawn(seed, 4, kind)
    together = VALUER.value(items)
    for row in range(4):
        told = explain(VALUER, items.rows(np.array([row])))
        shares = told.level_money + sum(one.money for one in told.contributions)
        assert told.anchor + shares == told.estimate == round(together.estimate[row] * 100)
        assert round(told.product, 2) == pytest.approx(told.estimate / 100, abs=0.011)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(AGED), st.integers(0, 99))
def test_a_worse_fault_never_raises_the_price_of_an_old_thing(seed, kind, which):
    """Faults that age excuses and those that it does not stand in one order of ranks."""
    one = drawn(seed, 1, kind)
    signals = BOOK.kinds[kind].signals
    graded = [s for s in signals if s.about == "wear" and s.shape != "choice"]
    signal = graded[which % len(graded)]
    count = len(signal.options)
    chains = (
        [list(range(count))[::-1]]
        if signal.shape == "ladder"
        else [[0, 1, 2, 3, 4, 5], [0, 6, 7, 8, 9, 10]]
    )
    age = BOOK.signal_ids.index(AGE_SIGN)
    old = BOOK.kinds[kind].by_id[AGE_SIGN].option_ids.index("union_or_utility")
    for chain in chains:
        codes = np.repeat(one.codes, len(chain), axis=0)
        codes[:, BOOK.signal_ids.index(signal.id)] = chain
        codes[:, age] = old
        standing = VALUER.value(
            Readings(np.repeat(one.kinds, len(chain)), codes, ("",) * len(chain))
        ).standing
        # Two factors of four decimals each for every sign of wear whose rank changes.
        assert np.all(np.diff(standing) <= 1e-3)
        excused = signal.id not in NEVER_EXCUSED
        assert standing[0] - standing[-1] > (0.0 if excused else 0.01)


def test_prices_learned_from_sales_where_age_excuses_wear_come_back():
    """Sales made by that very rule: a fit that knows it finds what the book says of fading, and one
    that does not takes the kindness to old things for a kindness to fading."""
    items = drawn(5, 1500, "dress")
    rng = np.random.default_rng(6)
    price = VALUER.value(items).estimate * np.exp(rng.normal(0, 0.15, len(items)))
    off = {}
    for counts in (1.0, COUNTS):
        model = learn(BOOK, items, price, old_wear_counts=counts)
        found = Valuer(BOOK, model, ShopTerms(old_wear_counts=counts)).value(items)
        off[counts] = float(np.std(np.log(price) - np.log(found.estimate)))
    assert off[COUNTS] == pytest.approx(0.15, abs=0.02)
    assert off[1.0] > 1.1 * off[COUNTS]


def test_the_fit_counts_faults_as_the_prices_do():
    """Two roads: fitted columns of worn old things, and the tables with what age gives back."""
    items = drawn(7, 400, "coat")
    price = VALUER.value(items).estimate * np.exp(np.random.default_rng(8).normal(0, 0.1, 400))
    coder, fitted = fit_book(BOOK, items, price, old_wear_counts=COUNTS)
    columns = fitted.encoder.matrix(coder.code(items))
    model = learn(BOOK, items, price, old_wear_counts=COUNTS)
    valued = Valuer(BOOK, model, VALUER.terms).value(items)
    middle = np.log(valued.anchor) + valued.level + valued.standing
    apart = middle - fitted.weights.log_price(columns)
    # Faults are ranked by the book in the fit and by what was learned in the tables.
    old = BOOK.signal_ids.index(AGE_SIGN)
    aged = np.isin(items.codes[:, old], collectable_codes(BOOK.kinds["coat"]))
    assert abs(np.median(apart[aged])) < 0.02
    assert abs(np.median(apart[~aged])) < 0.02


def test_a_past_sale_beside_an_old_thing_is_adjusted_for_its_age_too():
    """Price times all adjustments is what the thing itself would be valued at, were the sale at its
    own value: to the rounding of factors."""
    sales = drawn(11, 60, "coat")
    price = VALUER.value(sales).estimate
    days = np.full(60, np.datetime64("2026-05-01"))
    ours = drawn(12, 8, "coat")
    past = PastSales(VALUER, sales, price, days)
    for row in range(8):
        item = ours.rows(np.array([row]))
        value = VALUER.value(item).estimate[0]
        for near in past.nearest(item, np.datetime64("2026-05-02"), 3):
            assert near.adjusted == pytest.approx(value, rel=0.01)
