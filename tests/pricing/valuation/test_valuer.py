"""Valuing items of the shipped book: to the cent, in any batch, by two roads."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.config.prices import OLD_WEAR_COUNTS
from resale.errors import ModelFileError
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings, one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import fit_book, learn, rules_alone
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms, TicketStep
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
TERMS = ShopTerms(old_wear_counts=OLD_WEAR_COUNTS)


# What most shops sell: a fit of all kinds takes ten times as long and says no more.
SELLS = ("bag", "jacket", "shirt", "shoes", "trousers")


def made_up_items(count: int, seed: int, of: Iterable[str] = BOOK.kinds) -> Readings:
    """Items drawn from the book's own shares; half of the signals are not looked at."""
    rng = np.random.default_rng(seed)
    kinds = rng.choice([list(BOOK.kinds).index(kind) for kind in of], count)
    codes = np.full((count, len(BOOK.signal_ids)), -1, dtype=np.int16)
    for place, kind in enumerate(BOOK.kinds.values()):
        rows = np.flatnonzero(kinds == place)
        for signal in kind.signals:
            share = np.array([option.share for option in signal.options])
            drawn = rng.choice(len(share), len(rows), p=share / share.sum())
            seen = rng.random(len(rows)) < 0.5
            codes[rows, BOOK.signal_ids.index(signal.id)] = np.where(seen, drawn, -1)
    labels = tuple(np.array(["", "Maker One", "Maker Two"])[rng.integers(0, 3, count)])
    return Readings(kinds, codes, labels)


def rows_of(readings: Readings, chosen: list[int]) -> Readings:
    return Readings(
        readings.kinds[chosen], readings.codes[chosen], tuple(readings.labels[i] for i in chosen)
    )


@pytest.fixture(scope="module")
def sold() -> tuple[Readings, np.ndarray]:
    readings = made_up_items(600, seed=3, of=SELLS)
    rules = Valuer(BOOK, rules_alone(BOOK), TERMS).value(readings)
    rng = np.random.default_rng(4)
    return readings, rules.estimate * np.exp(rng.normal(0.1, 0.3, len(readings)))


@pytest.fixture(scope="module")
def valuer(sold) -> Valuer:
    return Valuer(BOOK, learn(BOOK, *sold), TERMS)


def test_an_average_item_of_which_nothing_is_known_brings_the_anchor():
    valuer = Valuer(BOOK, rules_alone(BOOK), TERMS)
    for kind in BOOK.kinds.values():
        valued = valuer.value(one_reading(BOOK, kind.id, {}))
        assert valued.estimate[0] == kind.text.anchor
        assert valued.standing[0] == 0


@pytest.mark.parametrize("row", range(12))
def test_the_working_is_redone_by_hand_to_the_cent(valuer, row):
    """As a person with a calculator would: anchor times every factor shown, rounded once."""
    items = made_up_items(12, seed=8)
    told = explain(valuer, rows_of(items, [row]))
    product = Decimal(told.anchor) / 100
    for _, factor in told.factors():
        product *= Decimal(str(factor))
    cents = (product * 100).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)
    assert int(cents) == told.estimate


@pytest.mark.parametrize("row", range(12))
def test_the_money_shares_add_up_to_the_cent(valuer, row):
    told = explain(valuer, rows_of(made_up_items(12, seed=9), [row]))
    shares = told.level_money + sum(one.money for one in told.contributions)
    assert told.anchor + shares == told.estimate


def test_one_item_is_a_batch_of_one(valuer):
    items = made_up_items(60, seed=11)
    together = valuer.value(items)
    for row in (0, 17, 59):
        alone = valuer.value(rows_of(items, [row]))
        assert alone.estimate[0] == together.estimate[row]
        assert alone.low[0] == together.low[row]
        assert alone.chances[0] == pytest.approx(together.chances[row], abs=1e-12)
        for one, many in zip(alone.in_minor_units, together.in_minor_units, strict=True):
            assert np.array_equal(one[0], many[row])


def test_the_tables_say_what_the_columns_say(sold):
    """Two roads: factors of the tables (rounded to four decimals) and the fitted columns.

    Each rounded factor is off by at most 5e-5 of about 1, and at most some sixty factors meet,
    hence 3e-3 of the log price at most."""
    readings, price = sold
    coder, fitted = fit_book(BOOK, readings, price)
    # Faults are ranked by the book in the fit, by what was learned in the tables: left out.
    codes = readings.codes.copy()
    for column, signal_id in enumerate(BOOK.signal_ids):
        if any(
            k.by_id[signal_id].about == "wear" for k in BOOK.kinds.values() if signal_id in k.by_id
        ):
            codes[:, column] = NOT_LOOKED_AT
    readings = replace(readings, codes=codes)
    items = coder.code(readings)
    columns = fitted.encoder.matrix(items)
    valued = Valuer(BOOK, learn(BOOK, *sold), TERMS).value(readings)
    middle = np.log(valued.anchor) + valued.level + valued.standing
    assert middle == pytest.approx(fitted.weights.log_price(columns), abs=3e-3)
    # Make is reckoned from points of four decimals.
    assert valued.spread == pytest.approx(fitted.spread(columns, items), rel=1e-4)


def test_looking_at_more_never_widens_what_the_rules_alone_expect():
    valuer = Valuer(BOOK, rules_alone(BOOK), TERMS)
    for kind in BOOK.kinds.values():
        chosen: dict[str, str] = {}
        before = valuer.value(one_reading(BOOK, kind.id, {})).spread[0]
        for signal in kind.signals:
            chosen[signal.id] = max(signal.options, key=lambda option: option.share).id
            after = valuer.value(one_reading(BOOK, kind.id, chosen)).spread[0]
            # Knowing an option trades its gap for the doubt of its effect. Rare, doubtful
            # options can cost more than the gap; the commonest option must not by much.
            assert after <= before + 0.012
            before = after
        whole = valuer.value(one_reading(BOOK, kind.id, {})).spread[0]
        assert before < 0.85 * whole


ITEM = st.integers(0, 10_000)


@settings(max_examples=40, deadline=None)
@given(ITEM)
def test_worse_wear_never_raises_a_price(valuer, seed):
    """Every ladder climbed down and every finding grown, on a random item of each kind.

    Where the sales hold a step at nothing, the two factors that are shown of a sign, of four
    decimals each, may round either way: half a unit of the last decimal each, of two
    signs where ranks of wear change: 0.02 percent at most, and each price half a cent besides."""
    rng = np.random.default_rng(seed)
    items = made_up_items(1, seed=seed)
    kind = tuple(BOOK.kinds.values())[items.kinds[0]]
    graded = [signal for signal in kind.signals if signal.shape != "choice"]
    signal = graded[rng.integers(len(graded))]
    column = BOOK.signal_ids.index(signal.id)
    chains = (
        [list(range(len(signal.options)))[::-1]]
        if signal.shape == "ladder"
        else [[0, 1, 2, 3, 4, 5], [0, 6, 7, 8, 9, 10]]
    )
    for better_to_worse in chains:
        codes = np.repeat(items.codes, len(better_to_worse), axis=0)
        codes[:, column] = better_to_worse
        kinds = np.repeat(items.kinds, len(codes))
        valued = valuer.value(Readings(kinds, codes, items.labels * len(codes)))
        assert np.all(np.diff(valued.standing) <= 2e-4)
        assert np.all(np.diff(valued.estimate) <= 0.0002 * valued.estimate[1:] + 0.01)
        assert np.all(np.diff(valued.tier) >= 0)


def test_a_fault_is_never_cheaper_where_it_shows(valuer):
    for kind in BOOK.kinds.values():
        for signal in (s for s in kind.signals if s.shape == "finding"):
            for extent in range(1, 6):
                hidden, seen = (
                    valuer.value(one_reading(BOOK, kind.id, {signal.id: f"{place}_{extent}"}))
                    for place in ("hidden", "seen")
                )
                assert seen.estimate[0] <= hidden.estimate[0]


def test_a_gate_forces_route_and_tier_whatever_the_price(valuer):
    held = valuer.value(one_reading(BOOK, "jacket", {"mould": "growth"}))
    assert ROUTES[held.route[0]] == "hold"
    fine = {"label_standing": "luxury", "front_canvas": "full_canvas", "fibre_shell": "wool"}
    torn = valuer.value(one_reading(BOOK, "jacket", {**fine, "hole": "seen_5"}))
    capped = BOOK.kinds["jacket"].by_id["hole"].option("seen_5").gate
    tiers = [tier.id for tier in BOOK.book.tiers]
    assert torn.tier[0] >= tiers.index(capped.tier_cap)
    assert torn.chances[0, : tiers.index(capped.tier_cap)].sum() == 0


def test_what_cannot_earn_its_place_is_passed_on():
    valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms(least_ticket=1000))
    told = explain(valuer, one_reading(BOOK, "shirt", {}))
    assert told.route == "pass_on"
    assert told.below_least_ticket


def test_tier_chances_sum_to_one_and_the_band_holds_the_estimate(valuer):
    valued = valuer.value(made_up_items(300, seed=21))
    assert valued.chances.sum(axis=1) == pytest.approx(1, abs=1e-12)
    assert np.all(valued.low <= valued.estimate)
    assert np.all(valued.estimate <= valued.high)
    assert np.all(valued.mean >= valued.estimate)


@pytest.mark.parametrize(
    ("price", "ticket"),
    [(0.1, 0.5), (4.24, 4.0), (4.25, 4.5), (19.74, 19.5), (27.5, 28.0), (99.4, 99.0), (102.4, 100)],
)
def test_tickets_are_rounded_to_what_the_shop_writes(price, ticket):
    assert TERMS.ticket(np.array([price]))[0] == ticket


def test_a_shop_may_write_tickets_in_any_steps():
    terms = ShopTerms(steps=(TicketStep(float("inf"), 100),), decimals=0)
    assert terms.ticket(np.array([1234.0, 20.0])).tolist() == [1200, 100]


def test_a_model_of_another_rule_book_is_refused(valuer):
    other = replace(valuer.model, book_fingerprint="another", book_version="2001-01-01")
    with pytest.raises(ModelFileError, match="fit it again"):
        Valuer(BOOK, other, TERMS)


def test_three_sales_of_a_label_move_it_a_little_and_three_hundred_fully():
    """Twenty labels with three sales each and one with three hundred, of both signs."""
    readings = made_up_items(700, seed=5, of=SELLS)
    rules = Valuer(BOOK, rules_alone(BOOK), TERMS).value(readings)
    rng = np.random.default_rng(6)
    names = np.array([f"Few {i // 3}" for i in range(60)] + ["Many"] * 300 + [""] * 340)
    noise = rng.normal(0, 0.3, 700)
    effect = np.where(names == "Many", 0.4, 0.0)
    price = rules.estimate * np.exp(effect + noise)
    model = learn(BOOK, Readings(readings.kinds, readings.codes, tuple(names)), price)
    table = model.tables["shirt"]
    learned = dict(zip(model.labels, table.sales[table.starts[-3] : table.starts[-2]], strict=True))
    heard = {name: noise[names == name].mean() for name in learned if name != "Many"}
    slope = np.polyfit(list(heard.values()), [learned[name] for name in heard], 1)[0]
    assert learned["Many"] == pytest.approx(0.4, abs=0.06)
    assert 0.1 < slope < 0.75
