"""Misreadings turned into doubt: the published formula, and shops simulated with known slips."""

import numpy as np
import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.agreement.doubt_feedback import FEWEST, slip_chances, suggest_doubt
from resale.training.agreement.kappa import cross_table

BOOK = load_rule_book()
SHIRT = BOOK.kinds["shirt"]
ODOUR, CARE, STAIN = (SHIRT.by_id[name] for name in ("odour", "care_label", "stain"))
MANY = 1e7


def with_rate(signal, rate, checked=MANY):
    """A table of second looks in which slips have exactly their expected counts."""
    share = np.array([option.share for option in signal.options])
    return share[:, None] * slip_chances(signal, rate) * checked


def test_two_options_shrink_by_aigners_factor():
    """Aigner 1973, Journal of Econometrics 1, 49 (from memory): the slope on a misread yes or no
    shrinks by 1 - v - n, with v and n the shares wrong among those read yes and read no."""
    gusset = SHIRT.by_id["side_gusset"]
    assert len(gusset.options) == 2
    table = np.array([[700.0, 40.0], [60.0, 200.0]]) * 1e5
    share = np.array([option.share for option in gusset.options])
    both = share[:, None] * table / table.sum(axis=1, keepdims=True)
    wrong = both[1, 0] / both[:, 0].sum() + both[0, 1] / both[:, 1].sum()
    assert suggest_doubt(gusset, table).attenuation == pytest.approx(1 - wrong, abs=1e-6)


@pytest.mark.parametrize("signal", [ODOUR, CARE, STAIN], ids=lambda signal: signal.id)
def test_a_shop_with_known_slips_shows_the_effects_and_the_scatter_foretold(signal):
    """200,000 simulated items of one signal, 25 % misread, noise 0.2. The regression slope, the
    mean of each common reading and the scatter about it must agree within four standard errors."""
    rng, noise, count = np.random.default_rng(6), 0.2, 200_000
    share = np.array([option.share for option in signal.options])
    effect = np.log([option.effect for option in signal.options])
    there = rng.choice(len(share), count, p=share / share.sum())
    chances = slip_chances(signal, 0.25).cumsum(axis=1)
    read = (rng.random(count)[:, None] > chances[there]).sum(axis=1)
    price = effect[there] + rng.normal(0, noise, count)
    found = suggest_doubt(signal, with_rate(signal, 0.25))
    x = effect[read] - effect[read].mean()
    slope = float(x @ price / (x @ x))
    error = float(np.sqrt(((price - price.mean() - slope * x) ** 2 * x**2).sum()) / (x @ x))
    assert abs(slope - found.attenuation) < 4 * error
    left = np.empty(count)
    for option in range(len(share)):
        rows = np.flatnonzero(read == option)
        left[rows] = price[rows] - np.log(found.effect_by_option[option])
        if len(rows) > 500:
            spread = price[rows].std() / np.sqrt(len(rows))
            assert abs(left[rows].mean()) < 4 * spread
            variance = noise**2 + found.extra_by_option[option] ** 2
            squares = left[rows] ** 2
            assert abs(squares.mean() - variance) < 4 * squares.std() / np.sqrt(len(rows))
    squares = left**2
    foretold = noise**2 + found.extra**2
    assert abs(squares.mean() - foretold) < 4 * squares.std() / np.sqrt(count)


def test_nothing_misread_costs_nothing_once_enough_was_checked():
    found = suggest_doubt(ODOUR, with_rate(ODOUR, 0.0))
    assert found.attenuation == pytest.approx(1, abs=1e-4)
    assert found.extra == pytest.approx(0, abs=1e-3)
    assert found.doubt("faint") == pytest.approx(ODOUR.option("faint").doubt, rel=1e-3)


def test_more_misreading_never_lowers_the_doubt():
    found = [suggest_doubt(ODOUR, with_rate(ODOUR, rate)) for rate in (0, 0.05, 0.1, 0.2, 0.4)]
    extras, kept = [one.extra for one in found], [one.attenuation for one in found]
    assert extras == sorted(extras)
    assert kept == sorted(kept, reverse=True)
    assert found[2].doubt("none") > ODOUR.option("none").doubt


def test_few_second_looks_change_no_doubt():
    few = suggest_doubt(ODOUR, np.diag([1, 2, 3, 4]))
    assert not few.enough
    assert few.doubt("strong") == ODOUR.option("strong").doubt
    assert few.sentence.endswith(f"too few to change a doubt (at least {FEWEST} are needed).")
    nothing = suggest_doubt(ODOUR, np.zeros((4, 4)))
    assert (nothing.checked, nothing.misread, nothing.rate) == (0, 0, 0.5)


def test_what_is_suggested_for_a_sorter_who_slips_on_odour():
    there = [3] * 60 + [2] * 25 + [1] * 10 + [0] * 5
    read = [3] * 55 + [2] * 5 + [2] * 15 + [3] * 8 + [1] * 2 + [1] * 6 + [2] * 3 + [0] + [0] * 5
    found = suggest_doubt(ODOUR, cross_table(there, read, 4))
    assert (found.checked, found.misread) == (100, 19)
    assert 0.7 < found.attenuation < 0.85
    kept, scatter = 100 * found.attenuation, 100 * (np.exp(found.extra) - 1)
    assert found.sentence == (
        f"Odour: 19 of 100 second looks differed. A reading keeps about {kept:.0f} % of its effect "
        f"and adds about {scatter:.0f} % of scatter to a price; a lead decides whether to "
        "train on it or to raise its doubt."
    )


@pytest.mark.parametrize("signal", [ODOUR, CARE, STAIN], ids=lambda signal: signal.id)
def test_chances_of_slips_are_chances(signal):
    chances = slip_chances(signal, 0.3)
    assert chances.sum(axis=1) == pytest.approx(1)
    assert np.diag(chances) == pytest.approx(0.7)
    if signal.shape == "ladder":
        assert chances[0, 2] == 0


def test_a_table_of_another_signal_is_refused():
    with pytest.raises(ValueError, match="odour has 4 options"):
        suggest_doubt(ODOUR, np.eye(3))
