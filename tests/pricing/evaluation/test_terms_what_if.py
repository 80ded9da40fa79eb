"""What other terms would do, against the valuer asked item by item."""

from __future__ import annotations

import pytest

from resale.config.prices import TicketStep
from resale.garments.rulebook.readings import many_readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.evaluation.terms_what_if import outlook_of_terms
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.next_check import next_checks
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

BOOK = load_rule_book()
KINDS = ["jacket", "shirt", "shoes", "shirt"]
READ = [{"cuff_buttons": "working"}, {}, {}, {}]
NOW = Valuer(BOOK, rules_alone(BOOK), ShopTerms())
STEEP = (TicketStep(float("inf"), 7.0),)


@pytest.mark.parametrize("terms", [ShopTerms(), ShopTerms(steps=STEEP, wage=500.0, coverage=0.95)])
def test_it_says_what_one_valuation_after_another_says(terms: ShopTerms) -> None:
    on_hand = many_readings(BOOK, KINDS, READ, ["", "", "", ""])
    then = Valuer(BOOK, NOW.model, terms)
    told = outlook_of_terms(NOW, then, (0.5, 0.25), on_hand)
    assert (told.items, len(told.examples)) == (4, 4)
    tickets = [[explain(one, on_hand.rows([at])).ticket for at in range(4)] for one in (NOW, then)]
    moves = [after - before for before, after in zip(*tickets, strict=True)]
    assert told.higher == sum(move > 0 for move in moves)
    assert told.lower == sum(move < 0 for move in moves)
    assert told.tickets == pytest.approx([sum(each) / 100 for each in tickets])
    assert told.to_shop == pytest.approx([told.tickets[0] * 0.5, told.tickets[1] * 0.25])
    for place, *seen in told.examples:
        for valuer, one in zip((NOW, then), seen, strict=True):
            read = on_hand.rows([place])
            said, best = explain(valuer, read), next_checks(valuer, read, valuer.value(read))[0]
            assert (one.ticket, one.low, one.high) == pytest.approx(
                (said.ticket / 100, said.low / 100, said.high / 100)
            )
            assert one.route == said.route
            assert one.next_check == (best.signal.name if best.worth_it else "")


def test_nothing_on_hand_is_no_fault() -> None:
    told = outlook_of_terms(NOW, NOW, (0.5, 0.5), many_readings(BOOK, [], [], []))
    assert (told.items, told.examples, told.tickets) == (0, (), (0.0, 0.0))
