"""From opinions alone to sales alone.

DERIVED numbers: each is worked out beside the check, by hand or by a second road.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from small_book import (
    EFFECT,
    NOTHING,
    SHARE,
    USED,
    WEAR,
    drawn,
    fitted,
    priced,
    rule_book,
    true_book,
    unsold,
)

from resale.pricing.model.estimator import RulePriorRegressor

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


def test_many_sales_outweigh_the_opinions():
    """20,000 sales: the error of an effect is about 0.3 / sqrt(20,000 x 0.2), so 0.02 is four."""
    rng = np.random.default_rng(2)
    items = drawn(rng, 20_000)
    model = fitted(items, priced(rng, items, true_book()))
    truth = RulePriorRegressor(priors=true_book(), groups="kind").fit(items.head(0), np.empty(0))
    others = drawn(rng, 200, seen=1.0)
    found, right = np.log(model.predict(others)), np.log(truth.predict(others))
    assert found == pytest.approx(right, abs=0.04)
    assert np.abs(found - right).mean() < 0.02


def test_the_more_sales_the_nearer_the_truth():
    rng = np.random.default_rng(3)
    items = drawn(rng, 6_000)
    price = priced(rng, items, true_book())
    truth = RulePriorRegressor(priors=true_book(), groups="kind").fit(items.head(0), np.empty(0))
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
    prior_mean, learned = before[2] - before[0], after[2] - after[0]
    assert 0.15 < learned < 0.5 < prior_mean == pytest.approx(0.6)


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
