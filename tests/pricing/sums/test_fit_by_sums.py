"""A fit to sales in lots is the fit to all of them at once.

Derived by a second road: the same sales in one lot; scikit-learn's BayesianRidge on the whole
table; NumPy's order statistics. Lots are cut at random places, and may be empty.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sklearn.linear_model import BayesianRidge

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.columns.prior_columns import plan_from_priors
from resale.pricing.model.columns.terms import Departure
from resale.pricing.model.conformal import EXACT_UP_TO, MOST_KEPT, Scores, ScoreTally
from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.fit import CROSS_FIT_UP_TO, fit
from resale.pricing.model.recipe import Recipe, Sales, recipe_for
from resale.pricing.model.rule_book_priors import KIND, LABEL, BookCoder, priors_of
from resale.pricing.sums.gathering import Lot, gather, in_one_lot, scaled_sums
from resale.pricing.sums.lots import Here
from resale.pricing.sums.order_statistics import at_rank, median

BOOK = load_rule_book().of(["shirt", "bag"])


def sold(count: int) -> tuple[Recipe, Sales]:
    """Shirts and bags with labels, some far off their price, of uneven weight."""
    rng = np.random.default_rng(3)
    kinds = rng.integers(0, 2, count)
    codes = np.full((count, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, kind in enumerate(BOOK.kinds.values()):
        for signal in kind.signals:
            rows = np.flatnonzero((kinds == place) & (rng.random(count) < 0.4))
            codes[rows, BOOK.signal_ids.index(signal.id)] = rng.integers(
                0, len(signal.options), len(rows)
            )
    labels = tuple(rng.choice(["", "Ulmbach", "Vembobix"], count))
    readings = Readings(kinds, codes, labels)
    frame = pd.DataFrame({LABEL: pd.Series(labels, dtype=object).replace("", None)})
    priors = priors_of(BOOK)
    coder = BookCoder(BOOK, plan_from_priors(priors, KIND, frame, np.ones(count)))
    target = 3 + 0.4 * kinds + 0.3 * rng.standard_t(3, count)
    sales = Sales(coder.code(readings), target, rng.uniform(0.5, 2.0, count))
    return recipe_for(coder.encoder, priors), sales


FEW, MANY = sold(60), sold(CROSS_FIT_UP_TO + 200)


def in_lots(recipe: Recipe, sales: Sales, cuts: list[int]) -> Here:
    count = len(sales.target)
    ends = [0, *sorted(cut % (count + 1) for cut in cuts), count]
    places = (np.arange(a, b) for a, b in pairwise(ends))
    return Here([Lot(recipe.encoder, sales.rows(rows)) for rows in places])


@pytest.fixture(scope="module")
def at_once():
    return fit(*MANY)


def assert_same(found, once):
    close = {"rel": 0, "abs": 1e-8}
    assert found.weights.both == pytest.approx(once.weights.both, **close)
    assert found.weights.covariance == pytest.approx(once.weights.covariance, **close)
    assert found.noise == pytest.approx(once.noise, **close)
    assert found.smearing == pytest.approx(once.smearing, **close)
    assert found.gaps == pytest.approx(once.gaps, **close)
    assert found.scores.counts == once.scores.counts
    assert found.scores.pooled == pytest.approx(once.scores.pooled, **close)


@pytest.mark.long
@given(cuts=st.lists(st.integers(0, 10_000), max_size=5))
@example(cuts=[0, 0, 1])
@settings(max_examples=4, deadline=None)
def test_where_the_lots_are_cut_changes_nothing(at_once, cuts):
    recipe, sales = MANY
    assert_same(fit(recipe, in_lots(recipe, sales, cuts)), at_once)


@pytest.mark.long
def test_lots_that_lie_on_disk_are_the_same_lots(at_once, tmp_path):
    recipe, sales = MANY
    assert_same(fit(recipe, replace(in_lots(recipe, sales, [50, 90]), scratch=tmp_path)), at_once)


@pytest.mark.long
def test_few_sales_in_lots_are_fitted_across_as_one():
    recipe, sales = FEW
    assert_same(fit(recipe, in_lots(recipe, sales, [13, 40])), fit(recipe, sales))


def test_sums_over_lots_are_the_bayesian_ridge_of_the_whole():
    """One family, no opinion on its scale: MacKay's fixed point on all rows at once."""
    rng = np.random.default_rng(2)
    items = pd.DataFrame(rng.normal(size=(90, 5)), columns=list("abcde"))
    price = 3 + items.to_numpy() @ np.array([0.5, -0.2, 0.1, 0.0, 0.3]) + rng.normal(0, 0.3, 90)
    plain = {"price_scale": "given", "numeric": "linear", "pairs": False, "tolerance": 1e-10}
    model = RulePriorRegressor(**plain, most_rounds=5000).fit(items, price)
    encoder = model.fitted_.encoder
    recipe = recipe_for(encoder, None, in_logs=False, tolerance=1e-10, most_rounds=5000)
    sales = Sales(encoder.code(items), price, np.ones(90))
    found = fit(recipe, in_lots(recipe, sales, [20, 33, 34, 80]))
    peer = BayesianRidge(alpha_1=0, alpha_2=0, lambda_1=0, lambda_2=0, tol=1e-12, max_iter=5000)
    peer.fit(encoder.matrix(sales.items), price)
    assert found.weights.both == pytest.approx(peer.coef_, abs=1e-5)


@given(st.lists(st.lists(st.floats(0, 1e300), max_size=9), min_size=1, max_size=4))
@example([[0.0, -0.0], [], [1.0]])
def test_ranks_by_counting_are_those_of_sorting(lots):
    sizes = Here([np.array(one) for one in lots])
    everything = np.sort(np.concatenate(sizes.pieces))
    assert [at_rank(sizes, rank) for rank in range(len(everything))] == everything.tolist()
    if len(everything):
        assert median(sizes) == pytest.approx(np.median(everything))


def test_many_scores_reach_as_far_as_all_of_them_would():
    """Of 200,000 scores 8,192 are kept a group: a share is then known to 1 / 8,192."""
    rng = np.random.default_rng(1)
    signed, group = rng.standard_t(5, 10 * EXACT_UP_TO), rng.integers(0, 2, 10 * EXACT_UP_TO)
    half = ScoreTally.of(signed[:70_000], group[:70_000], exact=False)
    rest = ScoreTally.of(signed[70_000:], group[70_000:], exact=False)
    scores = Scores.counted(half + rest, 2)
    assert len(scores.pooled) == len(scores.by_group[1]) == MOST_KEPT
    for coverage in (0.5, 0.8, 0.95):
        inside = np.mean(np.abs(signed[group == 1]) <= scores.reach(1, coverage))
        assert inside == pytest.approx(coverage, abs=4 / MOST_KEPT)


@pytest.mark.parametrize(("recipe", "sales"), [FEW, MANY], ids=["few", "many"])
def test_a_fit_kind_by_kind_is_the_fit_to_all_at_once(recipe, sales):
    parted, whole = fit(recipe, sales), fit(replace(recipe, by_kind=False), sales)
    # Else the two were one road, or nearly so.
    parts = scaled_sums(recipe, gather(in_one_lot(recipe.encoder, sales)))[0].parts
    encoder = recipe.encoder
    blocks = zip(encoder.blocks, encoder.spans, strict=True)
    departures = [range(*span) for block, span in blocks if isinstance(block.term, Departure)]
    assert parts is not None and departures
    assert not set(parts.shared.tolist()) & set(np.concatenate(departures).tolist())
    for name in ("learned", "covariance", "scales", "noise"):
        ours, theirs = getattr(parted.weights, name), getattr(whole.weights, name)
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=1e-8)
    np.testing.assert_allclose(parted.gaps, whole.gaps, rtol=0, atol=1e-8)
    assert parted.noise == pytest.approx(whole.noise, abs=1e-8)
