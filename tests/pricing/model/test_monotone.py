"""A worse grade never raises a price, whatever the sales say.

The order tests are DERIVED by search: made-up shops with absurd sales, drawn by hypothesis. The
exactness tests compare with general optimisers (second road).
"""

import numpy as np
import pandas as pd
import pytest
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear, minimize

from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.monotone import enforce_order
from resale.pricing.model.priors import Opinions, Priors

# Drawn afresh but the same in every run: a red build can be run again.
search = settings(max_examples=times(10), deadline=None, derandomize=True)
longer = settings(max_examples=400, deadline=None, derandomize=True)

# A step that the order holds at nothing may be off by the rounding of a few hundred sums.
ROUNDING = 1e-9

WEAR = ["ruined", "worn", "good", "as new"]
seeds = st.integers(0, 2**32 - 1)


def never_falls(prices: np.ndarray) -> bool:
    """Whether prices rise or stay along the last axis, but for rounding."""
    logs = np.log(prices)
    return bool(np.all(np.diff(logs, axis=-1) >= -ROUNDING))


def absurd_prices(rng: np.random.Generator, against: np.ndarray) -> np.ndarray:
    """Prices that fall with the grade, from mildly to madly, with noise of any size."""
    steep, noise = rng.choice([0.1, 1.0, 4.0]), rng.choice([0.01, 0.3, 3.0])
    return np.exp(rng.normal(3, 2) - steep * against + rng.normal(scale=noise, size=len(against)))


# --- with a rule book -----------------------------------------------------------------------


def opinions(rng: np.random.Generator, levels: list[str], *, rising: bool) -> Opinions:
    """Return opinions of any size, in order where they must be."""
    effect = rng.normal(scale=0.5, size=len(levels))
    doubt = rng.choice([0.01, 0.1, 1.0], len(levels))
    share = rng.dirichlet(np.ones(len(levels)))
    effect = np.sort(effect) if rising else effect
    return Opinions(
        *(dict(zip(levels, map(float, x), strict=True)) for x in (effect, doubt, share))
    )


def rule_book(rng: np.random.Generator, *, falling: bool) -> Priors:
    """Three kinds; wear is a ladder in all, seams in one alone, and buttons are no ladder."""
    kinds = ["shirt", "boot", "bag"]
    inputs = {(kind, "wear"): opinions(rng, WEAR, rising=True) for kind in kinds}
    inputs |= {("boot", "seams"): opinions(rng, ["coarse", "even", "fine"], rising=True)}
    inputs |= {(k, "button"): opinions(rng, ["shell", "plastic"], rising=False) for k in kinds[:2]}
    if falling:
        inputs = {
            key: Opinions({level: -x for level, x in told.effect.items()}, told.doubt, told.share)
            for key, told in inputs.items()
        }
    way = "falling" if falling else "rising"
    return Priors(
        inputs,
        anchor={"shirt": 2.0, "boot": 3.5, "bag": 3.0},
        anchor_doubt=dict.fromkeys(kinds, 0.3),
        level_doubt=0.3,
        departure=float(rng.choice([0.1, 0.5, 2.0])),
        noise=float(rng.choice([0.05, 0.4])),
        order={"wear": way, "seams": way},
    )


def bag_of_items(rng: np.random.Generator, sales: int) -> pd.DataFrame:
    """Items of all kinds; a third of all signals is not looked at."""
    kinds = rng.choice(["shirt", "boot", "bag"], sales)
    items = pd.DataFrame({"kind": kinds})
    items["wear"] = rng.choice([*WEAR, None, None], sales)
    items["seams"] = np.where(kinds == "boot", rng.choice(["coarse", "even", "fine"], sales), None)
    items["button"] = np.where(kinds == "bag", None, rng.choice(["shell", "plastic"], sales))
    return items


def check_rule_book(seed: int, sales: int, *, falling: bool) -> None:
    rng = np.random.default_rng(seed)
    priors = rule_book(rng, falling=falling)
    items = bag_of_items(rng, sales)
    place = (
        items["wear"].map({level: i for i, level in enumerate(WEAR)}).fillna(1.5).to_numpy(float)
    )
    price = absurd_prices(rng, -place if falling else place)
    model = RulePriorRegressor(priors=priors, groups="kind").fit(items, price)
    others = bag_of_items(rng, 40)
    for signal, ladder in (("wear", WEAR), ("seams", ["coarse", "even", "fine"])):
        asked = others[others["kind"] == "boot"] if signal == "seams" else others
        along = [model.predict(asked.assign(**{signal: level})) for level in ladder]
        assert never_falls(np.column_stack(along[::-1] if falling else along))


@search
@given(seed=seeds, sales=st.integers(0, 60), falling=st.booleans())
def test_worse_wear_never_raises_a_price(seed, sales, falling):
    check_rule_book(seed, sales, falling=falling)


@pytest.mark.long
@longer
@given(seed=seeds, sales=st.integers(0, 500), falling=st.booleans())
def test_worse_wear_never_raises_a_price_in_a_long_search(seed, sales, falling):
    check_rule_book(seed, sales, falling=falling)


def test_the_sales_did_ask_for_the_wrong_order():
    """Without the order the same absurd sales turn it round: the tests above test something."""
    rng = np.random.default_rng(0)
    wear = pd.Categorical.from_codes(rng.integers(0, 4, 200), WEAR, ordered=True)
    items = pd.DataFrame({"wear": wear})
    price = np.exp(3 - 0.5 * wear.codes + rng.normal(scale=0.1, size=200))
    ladder = pd.DataFrame({"wear": pd.Categorical(WEAR, WEAR, ordered=True)})
    free = RulePriorRegressor().fit(items, price).predict(ladder)
    binding = RulePriorRegressor(monotone={"wear": "rising"}).fit(items, price).predict(ladder)
    assert np.all(np.diff(free) < 0)
    assert binding == pytest.approx(np.full(4, binding[0]), rel=1e-9)


# --- any table ------------------------------------------------------------------------------


def any_table(rng: np.random.Generator, sales: int) -> pd.DataFrame:
    """A ladder, a number, words, and gaps."""
    codes = rng.integers(-1, 4, sales)
    length = rng.choice([rng.lognormal(3, 1, sales), rng.normal(0, 5, sales)])
    return pd.DataFrame(
        {
            "wear": pd.Categorical.from_codes(codes, WEAR, ordered=True),
            "length": np.where((rng.random(sales) < 0.1) & (np.arange(sales) > 0), np.nan, length),
            "width": rng.normal(size=sales),
            "kind": rng.choice(["shirt", "boot"], sales),
        }
    )


def check_any_table(seed: int, sales: int, way: str, groups: str | None) -> None:
    rng = np.random.default_rng(seed)
    items = any_table(rng, sales)
    sign = 1 if way == "rising" else -1
    length = items["length"].fillna(0).to_numpy()
    against = items["wear"].cat.codes.to_numpy() + np.sin(length) + length / (1 + np.abs(length))
    price = absurd_prices(rng, sign * against)
    model = RulePriorRegressor(monotone={"wear": way, "length": way}, groups=groups)
    model.fit(items, price)
    others = items.sample(min(sales, 8), random_state=seed % 1000)
    wear = [
        model.predict(others.assign(wear=pd.Categorical([w] * len(others), WEAR, ordered=True)))
        for w in WEAR
    ]
    assert never_falls(np.column_stack(wear[::sign]))
    # A fine grid, and well beyond both ends of what was sold.
    low, high = np.nanmin(items["length"]), np.nanmax(items["length"])
    grid = np.linspace(low - (high - low), high + (high - low), 400)[::sign]
    for place in range(len(others)):
        one = others.iloc[[place] * len(grid)].assign(length=grid)
        assert never_falls(model.predict(one))


@search
@given(
    seed=seeds,
    sales=st.integers(5, 60),
    way=st.sampled_from(["rising", "falling"]),
    groups=st.sampled_from([None, "kind"]),
)
def test_ladders_and_curves_of_any_table_keep_their_order(seed, sales, way, groups):
    check_any_table(seed, sales, way, groups)


@pytest.mark.long
@longer
@given(
    seed=seeds,
    sales=st.integers(3, 300),
    way=st.sampled_from(["rising", "falling"]),
    groups=st.sampled_from([None, "kind"]),
)
def test_ladders_and_curves_of_any_table_keep_their_order_in_a_long_search(
    seed, sales, way, groups
):
    check_any_table(seed, sales, way, groups)


@pytest.mark.parametrize("name", ["kind", "no such column"])
def test_an_input_without_order_is_refused(name):
    items = any_table(np.random.default_rng(1), 30)
    with pytest.raises(ValueError, match=f"{name}' has no order to keep"):
        RulePriorRegressor(monotone={name: "rising"}).fit(items, np.ones(30))


# --- exactness ------------------------------------------------------------------------------


def posterior(rng: np.random.Generator, width: int) -> tuple[np.ndarray, np.ndarray]:
    """A mean and a covariance that correlates everything."""
    root = rng.normal(size=(width, width)) * rng.choice([0.1, 1, 3], width)
    return rng.normal(size=width), root @ root.T + 0.05 * np.eye(width)


@search
@given(seed=seeds, width=st.integers(1, 8))
def test_single_steps_agree_with_bounded_least_squares(seed, width):
    """scipy's lsq_linear solves the same problem by an active set; both are exact methods."""
    rng = np.random.default_rng(seed)
    mean, covariance = posterior(rng, width)
    bounded = rng.random(width) < 0.7
    found = enforce_order(mean, covariance, np.eye(width)[bounded])
    root = np.linalg.cholesky(np.linalg.inv(covariance)).T
    bounds = (np.where(bounded, 0.0, -np.inf), np.full(width, np.inf))
    theirs = lsq_linear(root, root @ mean, bounds, method="bvls", tol=1e-14)
    assert found.weights == pytest.approx(theirs.x, abs=1e-7)


@search
@given(seed=seeds, width=st.integers(2, 6), rows=st.integers(1, 8))
def test_sums_of_steps_agree_with_a_general_optimiser(seed, width, rows):
    """A shared step plus a kind's departure: SLSQP stops some 1e-6 short of the optimum."""
    rng = np.random.default_rng(seed)
    mean, covariance = posterior(rng, width)
    climb = rng.integers(-1, 2, (rows, width)).astype(float)
    climb = climb[np.any(climb, axis=1)]
    found = enforce_order(mean, covariance, climb)
    inverse = np.linalg.inv(covariance)
    theirs = minimize(
        lambda w: (w - mean) @ inverse @ (w - mean) / 2,
        np.zeros(width),
        jac=lambda w: inverse @ (w - mean),
        constraints=[{"type": "ineq", "fun": lambda w: climb @ w, "jac": lambda w: climb}],
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )
    cost = (found.weights - mean) @ inverse @ (found.weights - mean) / 2
    assert np.all(climb @ found.weights >= -1e-8)
    assert cost <= theirs.fun * (1 + 1e-6) + 1e-8
    assert found.weights == pytest.approx(theirs.x, abs=1e-3 * (1 + np.abs(mean).max()))


def test_weights_in_order_are_left_alone():
    mean, covariance = posterior(np.random.default_rng(1), 3)
    found = enforce_order(np.abs(mean), covariance, np.eye(3))
    assert np.array_equal(found.weights, np.abs(mean))
    assert not found.binding.any()


def test_a_held_step_keeps_the_doubt_that_is_left_above_nought():
    """Two steps, one asked to fall: by hand, with the normal law's table at 1."""
    covariance = np.array([[1.0, 0.5], [0.5, 2.0]])
    found = enforce_order(np.array([-1.0, 1.0]), covariance, np.eye(2))
    # w2 given w1 = 0: 1 + 0.5 / 1 * (0 + 1) = 1.5, variance 2 - 0.5^2 / 1 = 1.75.
    assert found.weights == pytest.approx([0.0, 1.5], abs=1e-12)
    # w1 is normal about -1 and not negative: mean -1 + 0.24197 / 0.15866, mean square 1 - mean.
    square = 1 - (0.24197 / 0.15866 - 1)
    across = square * np.array([[1, 0.5], [0.5, 0.25]])
    assert found.covariance == pytest.approx(np.diag([0.0, 1.75]) + across, abs=1e-4)
    assert found.binding.tolist() == [True, False]


def test_a_row_that_the_move_for_another_breaks_is_taken_up() -> None:
    """By hand: to lift the first weight to 0 the second sinks below 0, so both are held there."""
    covariance = np.array([[1.0, -0.9], [-0.9, 1.0]])
    found = enforce_order(np.array([-1.0, 0.1]), covariance, np.eye(2))
    assert found.binding.all()
    np.testing.assert_allclose(found.weights, 0, atol=1e-12)
