"""Where a tier begins, and what a cap does to its chances."""

import numpy as np
import pytest

from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.conformal import Scores
from resale.pricing.valuation.tiers import Bounds, tier_chances, tier_of, tier_starts

BOOK = load_rule_book()
STARTS = tier_starts(BOOK)
OPEN = Bounds(np.zeros(1, dtype=np.intp), np.full(1, len(BOOK.book.tiers) - 1))


@pytest.mark.parametrize("tier", range(len(STARTS)))
def test_a_tier_begins_exactly_at_its_start(tier):
    """The book says 'from': the start itself belongs to the better tier, a hair below does not."""
    assert tier_of(STARTS[tier : tier + 1], STARTS, OPEN) == tier
    below = np.nextafter(STARTS[tier : tier + 1], -np.inf)
    assert tier_of(below, STARTS, OPEN) == tier + 1


@pytest.mark.parametrize("sales", [0, 20, 39, 40, 200])
def test_chances_of_tiers_follow_the_band(sales):
    """An item whose band ends exactly where tiers begin: what lies between is in the band."""
    coverage = 0.8
    signed = 2.0 * np.random.default_rng(5).standard_normal(sales)
    scores = Scores.of(signed, np.zeros(sales, dtype=np.intp), 1)
    half = 0.3 * scores.reach(0, coverage)
    starts = np.array([half, -half])
    chances = tier_chances(np.zeros(1), np.array([0.3]), starts, OPEN, scores, 0, coverage)[0]
    assert chances[1] == pytest.approx(coverage, abs=2.5 / sales if sales >= 40 else 1e-12)
    assert chances.sum() == pytest.approx(1)
