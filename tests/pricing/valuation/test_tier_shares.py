"""How many things stand in each tier when their signs go together, against what the book means."""

import numpy as np
import pytest
from scipy.stats import norm

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import Bounds, bounds_of, tier_of
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms())
COUNT, TOGETHER = 20_000, 0.35


def drawn(kind, seed):
    """Things whose tells go together by 0.35 and whose every sign was looked at; and their make."""
    rng = np.random.default_rng(seed)
    make = rng.standard_normal(COUNT)
    codes = np.full((COUNT, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for signal in kind.signals:
        lean = TOGETHER**0.5 if signal.counts == "tell" else 0.0
        latent = lean * make + (1 - lean**2) ** 0.5 * rng.standard_normal(COUNT)
        order = np.argsort([option.effect for option in signal.options], kind="stable")
        share = np.array([option.share for option in signal.options])[order]
        place = np.searchsorted(norm.ppf(np.cumsum(share / share.sum())[:-1]), latent)
        codes[:, BOOK.signal_ids.index(signal.id)] = order[place]
    number = list(BOOK.kinds).index(kind.id)
    return Readings(np.full(COUNT, number), codes, ("",) * COUNT), make


@pytest.mark.parametrize(
    "kind",
    [
        kind if place % 8 == 0 or kind == "jacket" else pytest.param(kind, marks=pytest.mark.long)
        for place, kind in enumerate(BOOK.kinds)
    ],
)
def test_signs_that_go_together_make_no_more_showpieces_than_the_book_means(kind):
    """What the book means: make as it truly is (g times a standard normal) beside the worths as
    they are. Against it the tiers that the rules alone give; 20,000 things know a share to 0.4
    points. Counted one by one, 26 % of jackets were showpieces where 9 % were meant."""
    chosen = BOOK.kinds[kind]
    readings, make = drawn(chosen, 11)
    found = VALUER.value(readings)
    logs = found.rules + found.sales
    tells = [BOOK.signal_ids.index(s.id) for s in chosen.signals if s.counts == "tell"]
    worn = [BOOK.signal_ids.index(s.id) for s in chosen.signals if s.about == "wear"]
    meant = found.standing - logs[:, tells].sum(axis=1) + chosen.text.make * make
    bounds = bounds_of(BOOK, found.cap, logs[:, worn].sum(axis=1))
    assert isinstance(bounds, Bounds)
    tiers = len(BOOK.book.tiers)
    by_rules = np.bincount(found.tier, minlength=tiers) / COUNT
    by_truth = np.bincount(tier_of(meant, VALUER.starts, bounds), minlength=tiers) / COUNT
    assert by_rules == pytest.approx(by_truth, abs=0.03)
