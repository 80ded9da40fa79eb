"""The bound for a whole batch never rules out an item for which the exact search finds a mend."""

from __future__ import annotations

import numpy as np
import pytest

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending import outcomes
from resale.selling.mending.bound import may_pay
from resale.selling.mending.mending import best_mending, best_mendings

BOOK = load_rule_book()
TERMS = SellingTerms(least_mending_net=0.0)


def worn_items(rng: np.random.Generator, count: int) -> Readings:
    """Items of every kind with some signs looked at; wear is as likely as soundness."""
    kinds = rng.integers(len(BOOK.kinds), size=count)
    codes = np.full((count, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for row, place in enumerate(kinds):
        kind = tuple(BOOK.kinds.values())[place]
        for signal in kind.signals:
            if rng.random() < (0.7 if signal.about == "label" else 0.15):
                codes[row, BOOK.signal_ids.index(signal.id)] = rng.integers(len(signal.options))
    return Readings(kinds, codes, ("",) * count)


@pytest.mark.parametrize("wage", [4.0, 18.0])
def test_what_the_bound_rules_out_the_search_would_not_mend(wage: float) -> None:
    valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=wage))
    items = worn_items(np.random.default_rng(int(wage)), 240)
    could = may_pay(valuer, items, valuer.value(items), TERMS)
    plans = best_mendings(valuer, items, TERMS)
    pays = np.array([bool(plan.chosen) for plan in plans])
    assert not (pays & ~could).any()
    # It saves work, or it would be no use: a third at least of what has a remedy that cannot pay.
    vain = np.array([bool(plan.offers) for plan in plans]) & ~pays
    assert pays.any() and (~could & vain).sum() > vain.sum() / 3


def test_many_at_once_are_mended_as_each_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where their outcomes are valued in several calls."""
    valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=6.0))
    items = worn_items(np.random.default_rng(7), 60)
    monkeypatch.setattr(outcomes, "AT_ONCE", 50)
    together = best_mendings(valuer, items, TERMS)
    assert together == [best_mending(valuer, items.row(row), TERMS) for row in range(len(items))]
    assert sum(bool(plan.chosen) for plan in together) > 3
