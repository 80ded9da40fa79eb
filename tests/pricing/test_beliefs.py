"""From opinions alone to sales alone, and everything shown on the way.

DERIVED numbers: each is worked out beside the check, by hand or by a second road.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from resale.errors import ReadingError
from resale.pricing.opinions import Beliefs, Opinions
from resale.pricing.regression import RulePriorRegressor

WEAR = ["worn", "good", "as new"]
SHARE = {
    "wear": dict(zip(WEAR, [0.2, 0.5, 0.3], strict=True)),
    "button": {"plastic": 0.7, "shell": 0.3},
    "sole": {"glued": 0.8, "sewn": 0.2},
}
EFFECT = {
    "wear": dict(zip(WEAR, [-0.4, 0.0, 0.2], strict=True)),
    "button": {"plastic": -0.05, "shell": 0.25},
    "sole": {"glued": 0.0, "sewn": 0.35},
}
USED = {"shirt": ("wear", "button"), "boot": ("wear", "sole")}
NOTHING = {"wear": None, "button": None, "sole": None}


def rule_book(**changes: object) -> Beliefs:
    """Two kinds; wear is a ladder that both share."""
    inputs = {
        (kind, name): Opinions(EFFECT[name], dict.fromkeys(EFFECT[name], 0.15), SHARE[name])
        for kind, names in USED.items()
        for name in names
    }
    book = Beliefs(
        inputs,
        anchor={"shirt": np.log(12.0), "boot": np.log(40.0)},
        anchor_doubt={"shirt": 0.3, "boot": 0.3},
        level_doubt=0.3,
        departure=0.5,
        noise=0.3,
        order={"wear": "rising"},
    )
    return replace(book, **changes)


def drawn(rng: np.random.Generator, count: int, seen: float = 0.8) -> pd.DataFrame:
    """Items drawn as commonly as the book says; some signals are not looked at."""
    items = pd.DataFrame({"kind": rng.choice(list(USED), count)})
    for name, share in SHARE.items():
        found = rng.choice(list(share), count, p=list(share.values()))
        asked = np.array([name in USED[kind] for kind in items["kind"]], dtype=bool)
        items[name] = np.where(asked & (rng.random(count) < seen), found, None)
    return items


def fitted(items: pd.DataFrame, price: np.ndarray, **changes: object) -> RulePriorRegressor:
    model = RulePriorRegressor(beliefs=rule_book(**changes), groups="kind")
    return model.fit(items, price)


def unsold(**changes: object) -> RulePriorRegressor:
    """A shop that has sold nothing yet."""
    return fitted(drawn(np.random.default_rng(0), 0), np.empty(0), **changes)


def priced(rng: np.random.Generator, items: pd.DataFrame, book: Beliefs) -> np.ndarray:
    """Prices as this book would have them, with its noise."""
    exact = RulePriorRegressor(beliefs=book, groups="kind").fit(items.head(0), np.empty(0))
    return exact.predict(items) * np.exp(rng.normal(scale=0.3, size=len(items)))


# --- before the first sale ------------------------------------------------------------------


def test_without_sales_an_item_not_looked_at_brings_the_anchor():
    items = pd.DataFrame([{"kind": "shirt", **NOTHING}, {"kind": "boot", **NOTHING}])
    assert unsold().predict(items) == pytest.approx([12.0, 40.0], rel=1e-12)


@pytest.mark.parametrize("kind", USED)
@pytest.mark.parametrize("name", EFFECT)
def test_without_sales_an_option_is_worth_its_opinion_less_the_average_item(kind, name):
    """Effect of the option less the mean effect weighted by how common each option is."""
    if name not in USED[kind]:
        return
    mean = sum(EFFECT[name][level] * SHARE[name][level] for level in EFFECT[name])
    for level, effect in EFFECT[name].items():
        item = pd.DataFrame([{"kind": kind, **NOTHING, name: level}])
        shares = unsold().contributions(item).iloc[0]
        assert shares[name] == pytest.approx(effect - mean, abs=1e-12)
        others = [other for other in EFFECT if other != name]
        # Not looked at is exactly nothing, not nearly.
        assert all(shares[other] == 0.0 for other in others)


def test_without_sales_nothing_was_changed_by_sales():
    rng = np.random.default_rng(1)
    rules, sales = unsold().contributions_in_two(drawn(rng, 50))
    assert not sales.to_numpy().any()
    assert rules.to_numpy().any()


def test_the_average_over_all_items_of_a_kind_is_the_anchor():
    """Second road: enumerate every shirt with its share; the mean log price is the anchor."""
    shirts = [
        {"kind": "shirt", **NOTHING, "wear": wear, "button": button}
        for wear in WEAR
        for button in SHARE["button"]
    ]
    weight = [SHARE["wear"][s["wear"]] * SHARE["button"][s["button"]] for s in shirts]
    logs = np.log(unsold().predict(pd.DataFrame(shirts)))
    assert np.average(logs, weights=weight) == pytest.approx(np.log(12.0), abs=1e-12)


# --- from opinions to sales -----------------------------------------------------------------


def true_book() -> Beliefs:
    """A shop where shell buttons are worth more and wear less than the book believes."""
    told = {
        "wear": dict(zip(WEAR, [-0.1, 0.0, 0.05], strict=True)),
        "button": {"plastic": -0.2, "shell": 0.6},
        "sole": {"glued": 0.0, "sewn": 0.1},
    }
    inputs = {
        (kind, name): Opinions(told[name], dict.fromkeys(told[name], 0.15), SHARE[name])
        for kind, names in USED.items()
        for name in names
    }
    anchor = {"shirt": np.log(9.0), "boot": np.log(60.0)}
    return rule_book(inputs=inputs, anchor=anchor)


def test_many_sales_outweigh_the_opinions():
    """20,000 sales: the error of an effect is about 0.3 / sqrt(20,000 x 0.2), so 0.02 is four."""
    rng = np.random.default_rng(2)
    items = drawn(rng, 20_000)
    model = fitted(items, priced(rng, items, true_book()))
    truth = RulePriorRegressor(beliefs=true_book(), groups="kind").fit(items.head(0), np.empty(0))
    others = drawn(rng, 200, seen=1.0)
    found, right = np.log(model.predict(others)), np.log(truth.predict(others))
    assert found == pytest.approx(right, abs=0.04)
    assert np.abs(found - right).mean() < 0.02


def test_the_more_sales_the_nearer_the_truth():
    rng = np.random.default_rng(3)
    items = drawn(rng, 6_000)
    price = priced(rng, items, true_book())
    truth = RulePriorRegressor(beliefs=true_book(), groups="kind").fit(items.head(0), np.empty(0))
    others = drawn(rng, 300, seen=1.0)
    off = [
        np.abs(np.log(fitted(items[:n], price[:n]).predict(others) / truth.predict(others))).mean()
        for n in (0, 30, 300, 6_000)
    ]
    assert off[0] > off[1] > off[2] > off[3]


def test_a_firm_opinion_yields_less_to_sales_than_a_loose_one():
    rng = np.random.default_rng(4)
    items = drawn(rng, 100)
    price = priced(rng, items, true_book())
    told = rule_book()
    moved = []
    for doubt in (0.02, 0.15, 0.6):
        inputs = {
            key: replace(opinions, doubt=dict.fromkeys(opinions.doubt, doubt))
            if key == ("shirt", "button")
            else opinions
            for key, opinions in told.inputs.items()
        }
        shell = pd.DataFrame([{"kind": "shirt", **NOTHING, "button": "shell"}])
        _, sales = fitted(items, price, inputs=inputs).contributions_in_two(shell)
        moved.append(abs(sales["button"].iloc[0]))
    assert moved[0] < moved[1] < moved[2]


def test_a_kind_may_depart_from_what_the_kinds_share():
    """Wear matters in shirts and not at all in boots; sales of both tell."""
    rng = np.random.default_rng(5)
    items = drawn(rng, 4_000)
    place = items["wear"].map(dict(zip(WEAR, [-0.4, 0.0, 0.2], strict=True))).fillna(0)
    matters = np.where(items["kind"] == "shirt", place, 0.0).astype(float)
    price = np.exp(3 + matters + rng.normal(scale=0.3, size=len(items)))
    model = fitted(items, price)
    shirt = np.log(model.predict(pd.DataFrame({"kind": "shirt", **NOTHING, "wear": WEAR})))
    boot = np.log(model.predict(pd.DataFrame({"kind": "boot", **NOTHING, "wear": WEAR})))
    # 4,000 sales leave an error of some 0.02 in a difference of two grades.
    assert shirt[2] - shirt[0] == pytest.approx(0.6, abs=0.08)
    assert boot[2] - boot[0] == pytest.approx(0.0, abs=0.08)


def test_a_kind_without_sales_learns_from_the_others_what_they_share():
    """Only shirts were sold, and wear matters less there than believed: so too in boots, partly."""
    rng = np.random.default_rng(6)
    items = drawn(rng, 2_000)
    items = items[items["kind"] == "shirt"].reset_index(drop=True)
    model = fitted(items, priced(rng, items, true_book()))
    ladder = pd.DataFrame({"kind": "boot", **NOTHING, "wear": WEAR})
    before, after = (np.log(m.predict(ladder)) for m in (unsold(), model))
    believed, learned = before[2] - before[0], after[2] - after[0]
    assert 0.15 < learned < 0.5 < believed == pytest.approx(0.6)


def labelled(few: int, many: int, seed: int = 7) -> RulePriorRegressor:
    """Two labels that both sell half as dear again as the rest, and many plain ones."""
    rng = np.random.default_rng(seed)
    items = drawn(rng, 1_000 + few + many)
    names = ["Few"] * few + ["Many"] * many + [f"Plain {i % 20}" for i in range(1_000)]
    items["label"] = names
    worth = np.where(items["label"].isin(["Few", "Many"]), 0.4, 0.0)
    return fitted(items, priced(rng, items, rule_book()) * np.exp(worth))


def label_effect(model: RulePriorRegressor, name: str) -> float:
    """What a label adds above a plain one."""
    asked = pd.DataFrame([{"kind": "shirt", **NOTHING, "label": n} for n in (name, "Plain 1")])
    shares = model.contributions(asked)["label"]
    return float(shares[0] - shares[1])


def test_three_sales_move_a_label_a_little_and_three_hundred_fully():
    """True worth 0.4. Three sales at noise 0.3 are known to 0.17, three hundred to 0.02; what is
    believed of labels shrinks the first to about half. Means of five shops."""
    few = np.mean([label_effect(labelled(3, 300, seed), "Few") for seed in range(5)])
    many = np.mean([label_effect(labelled(3, 300, seed), "Many") for seed in range(5)])
    assert 0.05 < few < 0.32
    assert many == pytest.approx(0.4, abs=0.06)


def test_a_label_never_sold_changes_nothing():
    model = labelled(3, 300)
    asked = pd.DataFrame([{"kind": "shirt", **NOTHING, "label": n} for n in ("Unheard of", None)])
    assert model.contributions(asked)["label"].tolist() == [0.0, 0.0]


# --- what is shown --------------------------------------------------------------------------


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
    one_by_one = [model.predict(items.iloc[[place]])[0] for place in range(len(items))]
    assert one_by_one == pytest.approx(together, rel=1e-13)
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
        ([10.0, 12.0], [1.0, -1.0], "Negative values in data passed to `sample_weight`"),
        ([10.0, 12.0], [0.0, 0.0], "must contain at least one non-zero number"),
    ],
)
def test_sales_that_cannot_be_are_refused(price, weight, sentence):
    items = pd.DataFrame({"kind": ["shirt", "boot"], "wear": ["good", "worn"]})
    with pytest.raises(ValueError, match=sentence):
        RulePriorRegressor().fit(items, price, sample_weight=weight)


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
