"""What a fitted regressor shows of an item adds up, and depends on nothing it should not.

DERIVED numbers: second roads to the same sum.
"""

import numpy as np
import pandas as pd
import pytest
from small_book import NOTHING, drawn, fitted, priced, rule_book, true_book, unsold

from resale.errors import ReadingError
from resale.pricing.model.estimator import RulePriorRegressor


@pytest.fixture(scope="module")
def shop() -> tuple[RulePriorRegressor, pd.DataFrame]:
    rng = np.random.default_rng(8)
    items = drawn(rng, 300)
    items["label"] = rng.choice(["Maker One", "Maker Two", None], 300)
    return fitted(items, priced(rng, items, true_book())), items


def test_contributions_add_up_to_the_price(shop):
    model, items = shop
    rows = model.contributions(items).sum(axis=1)
    assert rows.to_numpy() == pytest.approx(
        np.log(model.predict(items)) - model.intercept_, abs=1e-12
    )


def test_contributions_of_any_table_add_up_to_the_price():
    rng = np.random.default_rng(9)
    items = pd.DataFrame({"length": rng.lognormal(size=80), "kind": rng.choice(["a", "b"], 80)})
    items.loc[::7, "length"] = np.nan
    model = RulePriorRegressor().fit(items, rng.lognormal(3, 0.4, 80))
    rows = model.contributions(items).sum(axis=1)
    assert rows.to_numpy() == pytest.approx(
        np.log(model.predict(items)) - model.intercept_, abs=1e-12
    )


def test_what_the_book_said_and_what_the_sales_changed_add_up(shop):
    model, items = shop
    rules, sales = model.contributions_in_two(items)
    assert (rules + sales).to_numpy() == pytest.approx(
        model.contributions(items).to_numpy(), abs=1e-12
    )
    before, _ = unsold().contributions_in_two(items.drop(columns="label"))
    assert rules[before.columns].to_numpy() == pytest.approx(before.to_numpy(), abs=1e-12)


def test_not_looked_at_contributes_exactly_nothing(shop):
    model, _ = shop
    item = pd.DataFrame([{"kind": "boot", **NOTHING, "label": None}])
    shares = model.contributions(item).iloc[0].drop("kind")
    assert shares.tolist() == [0.0] * len(shares)


@pytest.mark.parametrize("blank", [None, np.nan, pd.NA, "a word the book has not"])
def test_an_empty_cell_is_a_signal_not_looked_at(shop, blank):
    model, _ = shop
    item = {"kind": "shirt", **NOTHING, "wear": "good", "label": None}
    empty = pd.DataFrame([item | {"button": blank}], dtype=object)
    assert model.predict(empty)[0] == model.predict(pd.DataFrame([item], dtype=object))[0]


def test_an_unknown_kind_is_refused_with_row_and_remedy(shop):
    model, items = shop
    with pytest.raises(ReadingError) as told:
        model.predict(items.head(2).assign(kind=["shirt", "teapot"]))
    assert told.value.sentence == "row 2: kind 'teapot' is not known; use one of shirt, boot."


@pytest.mark.parametrize("sold", [0, 300])
def test_fewer_signals_looked_at_mean_a_wider_band(sold):
    rng = np.random.default_rng(10)
    items = drawn(rng, sold)
    model = fitted(items, priced(rng, items, rule_book()))
    looks = [
        {"wear": "good", "button": "plastic"},
        {"wear": "good", "button": None},
        {"wear": None, "button": None},
    ]
    asked = pd.DataFrame([{"kind": "shirt", **NOTHING, **look} for look in looks])
    low, high = model.predict_band(asked)
    assert np.all(np.diff(np.log(high / low)) > 0)


def test_a_wider_promise_is_a_wider_band_around_the_same_price(shop):
    model, items = shop
    widths = []
    for coverage in (0.5, 0.8, 0.9):
        low, high = model.predict_band(items, coverage)
        widths.append(high / low)
        assert np.sqrt(low * high) == pytest.approx(model.predict(items), rel=1e-12)
    assert np.all(widths[0] < widths[1])
    assert np.all(widths[1] < widths[2])


def test_the_order_and_the_size_of_a_batch_change_no_price(shop):
    """Sums over the same columns in another arrangement: rounding alone, some 1e-16 each."""
    model, items = shop
    together = model.predict(items)
    low, high = model.predict_band(items)
    turned = items.iloc[::-1]
    assert model.predict(turned)[::-1] == pytest.approx(together, rel=1e-13)
    some = range(0, len(items), 10)
    one_by_one = [model.predict(items.iloc[[place]])[0] for place in some]
    assert one_by_one == pytest.approx(together[some], rel=1e-13)
    singly = [model.predict_band(items.iloc[[place]]) for place in range(20)]
    assert [band[0][0] for band in singly] == pytest.approx(low[:20], rel=1e-12)
    assert [band[1][0] for band in singly] == pytest.approx(high[:20], rel=1e-12)


def test_the_order_of_past_sales_changes_no_price():
    """The evidence is climbed from sums, so rounding alone is left; ten folds deal the band."""
    rng = np.random.default_rng(11)
    items = drawn(rng, 200)
    price = priced(rng, items, true_book())
    mixed = rng.permutation(200)
    asked = drawn(rng, 30)
    first, other = fitted(items, price), fitted(items.iloc[mixed], price[mixed])
    assert other.predict(asked) == pytest.approx(first.predict(asked), rel=1e-9)


@pytest.mark.parametrize(
    ("price", "weight", "sentence"),
    [
        ([10.0, 0.0], None, "a sale price is not above 0"),
        ([10.0, -3.0], None, "a sale price is not above 0"),
        ([10.0], None, "X has 2 rows but y has 1"),
        ([10.0, np.nan], None, "contains NaN"),
        ([10.0, 12.0], [1.0, -1.0], "a sample weight is negative"),
        ([10.0, 12.0], [0.0, 0.0], "every sample weight is zero"),
    ],
)
def test_sales_that_cannot_be_are_refused(price, weight, sentence):
    items = pd.DataFrame({"kind": ["shirt", "boot"], "wear": ["good", "worn"]})
    with pytest.raises(ValueError, match=sentence):
        RulePriorRegressor().fit(items, price, sample_weight=weight)


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        ({"numeric": "curve"}, "numeric is 'curve'; use 'spline' or 'linear'"),
        ({"price_scale": "logs"}, "price_scale is 'logs'; use 'log' or 'given'"),
        ({"shrinkage": 0.0}, "shrinkage is 0.0; use a number above 0"),
        ({"groups": "kinds"}, "'kinds' is no column of the table"),
        ({"prior_effect": {"waer": 0.1}}, "'waer' is no column of the table"),
        ({"prior_effect": {"wear": {"good": 0.1}}}, "no opinion on 'worn'"),
        ({"priors": rule_book()}, "name the group's column in groups"),
    ],
)
def test_settings_that_mean_nothing_are_refused(settings, sentence):
    items = pd.DataFrame({"kind": ["shirt", "boot"], "wear": ["good", "worn"]})
    with pytest.raises(ValueError, match=sentence):
        RulePriorRegressor(**settings).fit(items, [10.0, 12.0])


def test_a_sale_of_no_weight_is_no_sale():
    """It once had a say in shares, knots and bands."""
    rng = np.random.default_rng(12)
    items = drawn(rng, 60)
    price = priced(rng, items, rule_book())
    weight = np.ones(60)
    weight[::3] = 0
    kept = weight > 0
    first = RulePriorRegressor().fit(items, price, sample_weight=weight)
    other = RulePriorRegressor().fit(items[kept], price[kept])
    asked = drawn(rng, 20)
    assert first.predict(asked).tolist() == other.predict(asked).tolist()
    assert np.array_equal(first.predict_band(asked), other.predict_band(asked))
