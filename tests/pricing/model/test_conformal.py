"""Price bands hold the share of sales that they promise.

DERIVED numbers: ranks by whole numbers, left-out residuals against real refits and by hand,
coverage by simulation and on open price data. Published ranks are in `test_published_bands.py`.
"""

from dataclasses import replace
from math import inf

import numpy as np
import pandas as pd
import pytest
from open_prices import open_table
from scipy.stats import norm

from resale.pricing.model.conformal import ENOUGH_SALES, Scores, conformal_rank, rank_of_size
from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.fit import CROSS_FIT_UP_TO, FOLD_TOLERANCE, weigh
from resale.pricing.model.fitted import Weights
from resale.pricing.model.recipe import Recipe, Sales
from resale.pricing.sums import left_out as sums_left_out
from resale.pricing.sums.gathering import Lot, gather, in_one_lot


def test_every_whole_percent_agrees_with_whole_numbers():
    """Second road: ceiling division of integers."""
    for n in range(200):
        for percent in range(1, 100):
            exact = -(-(n + 1) * (100 - percent) // 100)
            assert conformal_rank(n, percent / 100) == exact


def test_a_band_that_nine_sales_cannot_prove_is_infinite():
    """n = 9 at 95 %: rank 10 of 9 (as above)."""
    assert rank_of_size(np.arange(9.0), 0.95) == inf
    assert rank_of_size(np.arange(9.0), 0.9) == 8.0


def test_the_order_of_past_sales_does_not_matter_to_a_band():
    sizes = np.random.default_rng(0).permutation(50).astype(float)
    # n = 50 at 80 %: rank 41, which is the number 40 counted from 0.
    assert rank_of_size(sizes, 0.8) == 40.0


def test_a_group_has_its_own_band_once_it_has_enough_sales():
    signed = np.concatenate([np.full(ENOUGH_SALES, 2.0), np.full(ENOUGH_SALES - 1, 1.0)])
    group = np.repeat([0, 1], [ENOUGH_SALES, ENOUGH_SALES - 1])
    scores = Scores.of(signed, group, 3)
    assert scores.rests_on_group(0)
    assert not scores.rests_on_group(1)
    assert scores.counts == {0: ENOUGH_SALES, 1: ENOUGH_SALES - 1, 2: 0}
    assert scores.reach(0, 0.3) == 2.0
    # The pool of 79 scores: 39 of size 1, the rest of size 2; at 30 % the rank is 24.
    assert scores.reach(1, 0.3) == scores.reach(2, 0.3) == 1.0


def test_chances_below_follow_the_scores():
    signed = norm.ppf((np.arange(400) + 0.5) / 400)
    scores = Scores.of(signed, np.zeros(400, dtype=np.intp), 1)
    at = np.linspace(-2, 2, 9)
    # A step of 1/400 lies between two scores.
    assert scores.below(0, at, 0.8) == pytest.approx(norm.cdf(at), abs=1 / 400)
    assert scores.below(0, np.array([-9.0, 9.0]), 0.8).tolist() == [0.0, 1.0]


@pytest.mark.parametrize("coverage", [0.5, 0.8, 0.95])
@pytest.mark.parametrize("sales", [0, 20, 39, 40, 400])
def test_the_band_holds_its_own_share_of_the_chances(sales, coverage):
    """One distribution for band and chances. From 40 sales on the ranks of signed scores and of
    their sizes may part by a score either way, and the rank of the band is the next one up."""
    signed = 3.0 * np.random.default_rng(sales).standard_normal(sales)
    scores = Scores.of(signed, np.zeros(sales, dtype=np.intp), 1)
    reach = scores.reach(0, coverage)
    inside = np.diff(scores.below(0, np.array([-reach, reach]), coverage))[0]
    assert inside == pytest.approx(coverage, abs=2.5 / sales if sales >= 40 else 1e-12)


# --- left-out residuals ---------------------------------------------------------------------


def left_out(items: pd.DataFrame, price: np.ndarray, penalty: float) -> np.ndarray:
    """Left-out residuals of a line through prices as given; the penalty is on the raw slope."""
    model = RulePriorRegressor(
        price_scale="given", numeric="linear", pairs=False, shrinkage=penalty
    ).fit(items, price)
    recipe, sales = recipe_of(model, items, price, penalty)
    return quickly(recipe, sales, model.fitted_.weights)[0]


def quickly(recipe: Recipe, sales: Sales, weights: Weights) -> tuple[np.ndarray, np.ndarray]:
    """Left-out residuals and their doubt by the short cut."""
    lot, level = Lot(recipe.encoder, sales), 1 / sales.weight.sum()
    return sums_left_out.left_out(lot, weights=weights, level=level)


def weighed(recipe: Recipe, sales: Sales, *start) -> Weights:
    return weigh(recipe, gather(in_one_lot(recipe.encoder, sales)), *start)


def recipe_of(
    model: RulePriorRegressor, items: pd.DataFrame, target: np.ndarray, penalty: float
) -> tuple[Recipe, Sales]:
    encoder = model.fitted_.encoder
    none = np.empty((0, len(encoder.doubt)))
    recipe = Recipe(encoder, free_level=True, climb=none, shrinkage=penalty, in_logs=False)
    return recipe, Sales(encoder.code(items), target, np.ones(len(target)))


@pytest.mark.parametrize(
    ("penalty", "expected"),
    [
        # Least squares 1.1 + 1.1 x; h .7 .3 .3 .7; e -.1 .8 -1.3 .6; e / (1 - h) by hand.
        (1e-12, [-1 / 3, 8 / 7, -13 / 7, 2]),
        # Ridge of 1 on the slope alone: 1.375 + 0.91667 x; h .625 .29167 .29167 .625.
        (1.0, [-1, 1, -1.70588, 2.33333]),
    ],
)
def test_left_out_residuals_of_four_points(penalty, expected):
    """x 0 1 2 3, y 1 3 2 5, by hand. Five decimals are written above.

    The columns are standardised; a penalty of 1 on the raw slope is 1 / variance (1.25) there."""
    items = pd.DataFrame({"x": [0.0, 1.0, 2.0, 3.0]})
    price = np.array([1.0, 3.0, 2.0, 5.0])
    assert left_out(items, price, penalty / 1.25) == pytest.approx(expected, abs=5e-6)


@pytest.mark.parametrize("penalty", [0.1, 3.0])
def test_the_short_cut_agrees_with_leaving_each_sale_out_for_real(penalty):
    """Second road: refit without the sale. Exact for a fixed penalty, weights or none."""
    rng = np.random.default_rng(5)
    items = pd.DataFrame(rng.normal(size=(30, 3)), columns=list("abc"))
    items["kind"] = rng.choice(["shirt", "boot", "bag"], 30)
    price = np.exp(rng.normal(3, 0.5, 30))
    model = RulePriorRegressor(shrinkage=penalty).fit(items, price)
    recipe, sales = recipe_of(model, items, np.log(price), penalty)
    sales = replace(sales, weight=rng.integers(1, 4, 30).astype(float))
    quick, _ = quickly(recipe, sales, weighed(recipe, sales))
    for out in range(30):
        kept = np.flatnonzero(np.arange(30) != out)
        # A weight of 3 is three sales at that price: the short cut leaves all three out.
        some = sales.rows(kept)
        refit = weighed(recipe, some)
        columns = recipe.encoder.matrix(sales.items.rows(np.array([out])))
        real = np.log(price[out]) - refit.log_price(columns)[0]
        assert quick[out] == pytest.approx(real, abs=1e-9)


def test_sales_that_count_less_are_left_out_with_the_weight_they_had():
    """What a robust fit calls left-out residuals, against refits: each sale dropped, all others
    at their weights, from the fit's own scales. Shrinkage is not found anew, hence 2 %."""
    rng = np.random.default_rng(8)
    items = pd.DataFrame({"kind": rng.choice(["shirt", "boot", "bag"], CROSS_FIT_UP_TO + 60)})
    for place in range(6):
        items[f"sign{place}"] = rng.choice(["a", "b", "c", "d"], len(items))
    price = np.exp(3 + 0.3 * (items["sign0"] == "a") + 0.3 * rng.standard_t(3, len(items)))
    model = RulePriorRegressor(pairs=False).fit(items, price)
    encoder, target = model.fitted_.encoder, np.log(price.to_numpy())
    none = np.empty((0, len(encoder.doubt)))
    recipe = Recipe(encoder, free_level=True, climb=none)
    sales = Sales(encoder.code(items), target, np.ones(len(target)))
    first = weighed(replace(recipe, tolerance=FOLD_TOLERANCE), sales)
    size = np.abs(quickly(recipe, sales, first)[0])
    trust = sums_left_out.trusted(size, 1.4826 * np.median(size))
    counted = replace(sales, weight=trust / trust.mean())
    whole = weighed(recipe, counted, first.start)
    quick, doubt = quickly(recipe, counted, whole)
    noise = model.fitted_.noise
    stored = quick / np.sqrt(noise**2 + doubt)
    assert np.sort(stored) == pytest.approx(model.fitted_.scores.pooled, abs=1e-6)
    for out in range(0, len(target), 23):
        kept = np.flatnonzero(np.arange(len(target)) != out)
        some = counted.rows(kept)
        refit = weighed(recipe, some, whole.start)
        columns = encoder.matrix(sales.items.rows(np.array([out])))
        real = target[out] - refit.log_price(columns)[0]
        assert quick[out] == pytest.approx(real, rel=0.02, abs=0.004)


# --- coverage -------------------------------------------------------------------------------

# Each claim of chance below fails a sound build at most once in a thousand, all of its cases
# together (normal quantile, Bonferroni); seeds are fixed, so it fails always or never.
FALSE_ALARM = 1e-3


def assert_covers(shares: list[float], coverage: float, *, sales: int, judged: int, cases: int):
    """Check the mean share inside, on both sides.

    In one run the share varies as a Beta of `sales` + 1 (what the past sales happened to be) and
    as a binomial of `judged`. Conformal bands hold up to 1 / (n + 1) more than promised."""
    runs = len(shares)
    variance = coverage * (1 - coverage) * (1 / (sales + 2) + 1 / judged) / runs
    allowed = norm.isf(FALSE_ALARM / 2 / cases) * variance**0.5
    assert coverage - allowed <= np.mean(shares) <= coverage + 1 / (sales + 1) + allowed


def inside(model: RulePriorRegressor, items: pd.DataFrame, price: np.ndarray, coverage: float):
    low, high = model.predict_band(items, coverage)
    return (low <= price) & (price <= high)


def simulated(rng: np.random.Generator, count: int) -> tuple[pd.DataFrame, np.ndarray]:
    """Exchangeable sales with heavy tails, so that no normal formula could do."""
    items = pd.DataFrame(
        {"a": rng.normal(size=count), "kind": rng.choice(["shirt", "boot", "bag"], count)}
    )
    level = items["kind"].map({"shirt": 2.0, "boot": 3.0, "bag": 2.5}).to_numpy(float)
    return items, np.exp(level + 0.3 * items["a"] + 0.2 * rng.standard_t(3, count))


def check_simulated(sales: int, runs: int) -> None:
    shares: dict[float, list[float]] = {0.5: [], 0.8: [], 0.9: []}
    for seed in range(runs):
        rng = np.random.default_rng([sales, seed])
        model = RulePriorRegressor(numeric="linear", pairs=False).fit(*simulated(rng, sales))
        items, price = simulated(rng, 500)
        for coverage, found in shares.items():
            found.append(inside(model, items, price, coverage).mean())
    for coverage, found in shares.items():
        # Two sizes of shop and three coverages share the one false alarm in a thousand.
        assert_covers(found, coverage, sales=sales, judged=500, cases=6)


@pytest.mark.parametrize("sales", [60, 450])
def test_bands_hold_what_they_promise_on_exchangeable_sales(sales):
    """Few sales go by cross-fitting, more than 400 by leverage; both roads are measured."""
    check_simulated(sales, runs=20)


@pytest.mark.long
@pytest.mark.parametrize("sales", [60, 450])
def test_bands_hold_what_they_promise_over_many_runs(sales):
    check_simulated(sales, runs=300)


def check_open_data(name: str, sales: int, runs: int, judged: int) -> None:
    """Coverage on held-out sales, over all and by group, for a regressor told the groups."""
    table = open_table(name)
    held = []
    for seed in range(runs):
        order = np.random.default_rng(1000 + seed).permutation(len(table.price))
        learn, judge = order[:sales], order[sales : sales + judged]
        model = RulePriorRegressor(groups=table.group, pairs=False)
        model.fit(table.items.iloc[learn], table.price[learn])
        counts = table.items[table.group].iloc[learn].value_counts()
        group = table.items[table.group].iloc[judge].astype(str)
        found = {"group": group, "sales": group.map(counts).astype(float), "run": seed}
        for coverage in (0.8, 0.9):
            found[str(coverage)] = inside(
                model, table.items.iloc[judge], table.price[judge], coverage
            )
        held.append(pd.DataFrame(found))
    check_held_out(pd.concat(held), sales, runs)


def check_held_out(held: pd.DataFrame, sales: int, runs: int) -> None:
    groups = held[held["sales"] >= ENOUGH_SALES].groupby("group")
    cases = 2 * 2 * (1 + len(groups))
    for coverage in (0.8, 0.9):
        by_run = held.groupby("run")[str(coverage)]
        assert_covers(
            list(by_run.mean()), coverage, sales=sales, judged=by_run.size().min(), cases=cases
        )
        for _, rows in groups:
            # Runs share sales, so a group's past sales vary less than once a run: count them once.
            assert_covers(
                [rows[str(coverage)].mean()],
                coverage,
                sales=int(rows["sales"].mean()),
                judged=len(rows),
                cases=cases,
            )


@pytest.mark.parametrize(
    ("name", "sales", "judged"),
    [("cars", 643, 161), pytest.param("diamonds", 450, 600, marks=pytest.mark.long)],
)
def test_bands_hold_what_they_promise_on_open_prices_overall_and_by_group(name, sales, judged):
    check_open_data(name, sales, runs=3, judged=judged)


@pytest.mark.long
@pytest.mark.parametrize(
    ("name", "sales", "judged"), [("cars", 643, 161), ("diamonds", 2000, 3000)]
)
def test_bands_hold_what_they_promise_on_open_prices_over_many_splits(name, sales, judged):
    check_open_data(name, sales, runs=20, judged=judged)


@pytest.mark.parametrize("coverage", [0.0, 1.0, -0.2, 80])
def test_a_coverage_that_is_no_share_is_refused(coverage):
    items = pd.DataFrame({"kind": ["shirt", "boot"] * 5})
    model = RulePriorRegressor().fit(items, np.arange(1.0, 11.0))
    with pytest.raises(ValueError, match="use a share between 0 and 1"):
        model.predict_band(items, coverage)
    with pytest.raises(ValueError, match="use a share between 0 and 1"):
        RulePriorRegressor(coverage=coverage).fit(items, np.arange(1.0, 11.0))
