"""The best check of each item of a rack is the first of its list, or stop."""

import numpy as np
import pytest

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.next_check import STOP, best_checks, next_checks
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()


def drawn_items(count, seed, looked):
    rng = np.random.default_rng(seed)
    kinds = rng.integers(len(BOOK.kinds), size=count)
    codes = np.full((count, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, kind in enumerate(BOOK.kinds.values()):
        for column, signal_id in enumerate(BOOK.signal_ids):
            if signal_id in kind.by_id:
                share = np.array([option.share for option in kind.by_id[signal_id].options])
                drawn = rng.choice(len(share), size=count, p=share / share.sum())
                seen = (kinds == place) & (rng.random(count) < looked)
                codes[:, column] = np.where(seen, drawn, codes[:, column])
    return Readings(kinds, codes, ("",) * count)


@pytest.mark.parametrize(("looked", "wage"), [(0.0, 18.0), (0.3, 18.0), (0.8, 60.0), (1.0, 18.0)])
def test_a_rack_and_single_items_agree_on_the_next_check(looked, wage):
    valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms(wage=wage))
    items = drawn_items(40, 7, looked)
    found = best_checks(valuer, items, valuer.value(items))
    kinds = tuple(BOOK.kinds.values())
    for row in range(len(items)):
        alone = items.row(row)
        checks = next_checks(valuer, alone, valuer.value(alone))
        best = checks[0] if checks and checks[0].worth_it else None
        if best is None:
            assert found.signal[row] == STOP
        else:
            assert kinds[items.kinds[row]].signals[found.signal[row]].id == best.signal.id
            # Sums of the same terms in another order: equal but for rounding.
            assert found.gain[row] == pytest.approx(best.gain, rel=1e-9)
            assert found.cost[row] == pytest.approx(best.cost, rel=1e-12)


def test_a_fully_examined_rack_has_nothing_left_to_check():
    valuer = Valuer(BOOK, rules_alone(BOOK), ShopTerms())
    items = drawn_items(20, 3, 1.0)
    assert (best_checks(valuer, items, valuer.value(items)).signal == STOP).all()
