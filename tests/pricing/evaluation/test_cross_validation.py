"""Sales judged by models that had not seen them: no look ahead, no sale twice, bands as scored."""

from itertools import pairwise

import numpy as np
import pytest
from tiny_rule_book import tiny_rule_book

from resale.errors import ReadingError
from resale.garments.rulebook.readings import Readings
from resale.pricing.evaluation.cross_validation import (
    COVERAGES,
    FEWEST_FORWARD,
    can_go_forward,
    forward_folds,
    mixed_folds,
    validation_errors,
)
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.model.recency import recency_weights
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

FIRST = np.datetime64("2025-01-01")
SOLD = 240


def days(rng, count, over=400):
    return FIRST + rng.integers(0, over, count).astype("timedelta64[D]")


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return tiny_rule_book(tmp_path_factory.mktemp("book"))


@pytest.fixture(scope="module")
def sales(book):
    """Return invented items whose thick cloth brings half as much again as the book says."""
    rng = np.random.default_rng(11)
    kinds = rng.integers(0, 2, SOLD)
    codes = np.full((SOLD, len(book.signal_ids)), -1, dtype=np.int16)
    cloth, wear = book.signal_ids.index("cloth"), book.signal_ids.index("wear")
    codes[:, cloth] = rng.integers(-1, 2, SOLD)
    codes[:, wear] = rng.integers(-1, 2, SOLD)
    readings = Readings(kinds, codes, ("",) * SOLD)
    fair = Valuer(book, rules_alone(book), ShopTerms()).value(readings).estimate
    price = fair * np.where(codes[:, cloth] == 1, 1.5, 1.0)
    price = price * np.exp(0.3 * rng.standard_normal(SOLD))
    return readings, price, days(rng, SOLD)


@pytest.fixture(scope="module")
def forward(book, sales):
    return validation_errors(book, *sales)


def test_no_model_learns_from_the_day_it_is_judged_on_or_from_later():
    rng = np.random.default_rng(3)
    # Few days, many sales a day, in any order.
    sold_on = days(rng, 500, over=20)
    folds = forward_folds(sold_on)
    assert len(folds) == 5
    for fold in folds:
        assert sold_on[fold.learn].max() < sold_on[fold.judge].min()


def test_going_forward_each_sale_after_the_first_part_is_judged_once():
    sold_on = days(np.random.default_rng(3), 500)
    folds = forward_folds(sold_on)
    judged = np.concatenate([fold.judge for fold in folds])
    assert len(np.unique(judged)) == len(judged)
    assert set(judged) | set(folds[0].learn) == set(range(500))
    for before, after in pairwise(folds):
        assert set(after.learn) == set(before.learn) | set(before.judge)


def test_mixed_each_sale_is_judged_once_and_never_learned_from_at_once():
    sold_on = days(np.random.default_rng(3), 53)
    folds = mixed_folds(sold_on, 5)
    assert sorted(np.concatenate([fold.judge for fold in folds])) == list(range(53))
    for fold in folds:
        assert sorted([*fold.learn, *fold.judge]) == list(range(53))


@pytest.mark.parametrize(
    ("count", "over", "forward"),
    [(FEWEST_FORWARD, 400, True), (FEWEST_FORWARD - 1, 400, False), (500, 60, False)],
)
def test_forward_needs_enough_sales_over_long_enough(count, over, forward):
    assert can_go_forward(days(np.random.default_rng(1), count, over)) is forward


def test_figures_are_those_of_a_model_fitted_by_hand_to_the_earlier_sales(book, sales, forward):
    readings, price, sold_on = sales
    fold = forward_folds(sold_on)[-1]
    weight = recency_weights(sold_on[fold.learn], sold_on[fold.learn].max())
    known = sold_on[fold.learn]
    model = learn(book, readings.rows(fold.learn), price[fold.learn], weight, sold_on=known)
    found = Valuer(book, model, ShopTerms(coverage=0.9)).value(readings.rows(fold.judge))
    rows = np.isin(forward.sale, fold.judge)
    assert list(forward.sale[rows]) == list(fold.judge)
    assert set(forward.learned_from[rows]) == {len(fold.learn)}
    # The valuer rounds to cents, so prices of some tens differ by no more than half a cent.
    low, high = forward.model.band(0.9)
    assert forward.model.estimate[rows] == pytest.approx(found.estimate, abs=0.00501)
    assert low[rows] == pytest.approx(found.low, abs=0.00501)
    assert high[rows] == pytest.approx(found.high, abs=0.00501)
    assert forward.model.spread[rows] == pytest.approx(found.spread)


def test_rules_alone_are_judged_on_the_same_sales(book, sales, forward):
    readings, price, _ = sales
    rules = Valuer(book, rules_alone(book), ShopTerms()).value(readings.rows(forward.sale))
    assert forward.rules.estimate == pytest.approx(rules.estimate, abs=0.00501)
    assert forward.price == pytest.approx(price[forward.sale])
    assert np.exp(forward.error) * forward.model.estimate == pytest.approx(forward.price)


def test_what_the_sales_teach_shows_on_later_sales(forward):
    assert np.median(np.abs(forward.error)) < 0.9 * np.median(np.abs(forward.rules_error))


def test_wider_promises_reach_farther_and_inside_is_what_the_band_says(forward):
    assert np.all(np.diff(forward.model.half, axis=1) >= 0)
    for column, coverage in enumerate(COVERAGES):
        low, high = forward.model.band(coverage)
        assert list((low <= forward.price) & (forward.price <= high)) == list(
            forward.inside[:, column]
        )


def test_the_order_in_which_sales_are_given_does_not_matter(book, sales, forward):
    readings, price, sold_on = sales
    # Days apart: sales of one day keep the order in which they come.
    kept = np.unique(sold_on, return_index=True)[1]
    turned = kept[::-1]
    one, other = (
        validation_errors(book, readings.rows(rows), price[rows], sold_on[rows], forward=True)
        for rows in (kept, turned)
    )
    assert list(kept[one.sale]) == list(turned[other.sale])
    assert one.model.middle == pytest.approx(other.model.middle, abs=1e-9)


def test_folds_can_be_followed(book, sales):
    walked = []

    def along(folds):
        for fold in folds:
            walked.append(len(fold.judge))
            yield fold

    found = validation_errors(book, *sales, forward=False, along=along)
    assert not found.forward
    assert sum(walked) == len(found) == SOLD


def test_too_few_sales_or_a_single_day_are_refused_in_words(book, sales):
    readings, price, sold_on = sales
    few = np.arange(9)
    with pytest.raises(ReadingError, match="9 sales are too few"):
        validation_errors(book, readings.rows(few), price[few], sold_on[few])
    with pytest.raises(ReadingError, match="one day"):
        validation_errors(book, readings, price, np.full(SOLD, FIRST), forward=True)
