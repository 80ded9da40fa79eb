"""What a change of a rule would do is told by the very learning that follows when it is saved."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace

import pytest
from ledger_shop import NOON, TODAY, LedgerShop

from resale.config.settings import Settings
from resale.garments.rulebook.edits import Edit, with_edits
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.prices.try_rules import try_rules
from resale.storage.items.on_hand_readings import on_hand_readings
from resale.storage.models.fits import fit_from_ledger
from resale.storage.models.model_files import load_model


@pytest.fixture
def shop(tmp_path):
    """Half sold at 20.00 in four weeks, half of the rest at half of it: worth is not price."""
    ledger = LedgerShop(tmp_path)

    def on(days_ago):
        return f"{TODAY - timedelta(days=days_ago):%m-%d}"

    for place in range(48):
        number = ledger.item("01-02")
        ledger.happens(number, "put_out", on(100), 2000)
        if place % 2:
            ledger.happens(number, "sold", on(99 - place), 2000)
        else:
            ledger.happens(number, "marked_down", on(72), 1000)
            if place % 4:
                ledger.happens(number, "sold", on(71 - place), 1000)
    book = load_rule_book()
    return SimpleNamespace(
        records=ledger.records,
        settings=Settings(data_folder=tmp_path),
        book=book,
        changed=book,
        model_id="learned",
        terms=ShopTerms(),
        here=lambda: NOON,
    )


def told(shop, **edit):
    return try_rules(shop, (Edit(kind="shirt", **edit),), lambda *_: None).outlook


@pytest.mark.long
def test_a_change_of_what_no_sale_speaks_of_moves_no_ticket(shop):
    """Prices follow worths here: told from what things brought, every ticket would fall."""
    found = told(shop, signal="shirt_yoke", option="split", field="share", value=0.2)
    assert found.items == 12
    assert found.ticket_sum_before == found.ticket_sum_after > 0


def test_tickets_told_are_those_that_the_next_learning_gives(shop):
    edit = {"signal": "shirt_yoke", "option": "split", "field": "doubt", "value": 0.4}
    found = told(shop, **edit)
    changed = with_edits(shop.book, [Edit(kind="shirt", **edit)])
    fitted = fit_from_ledger(shop.records, changed, shop.settings, NOON)
    valuer = Valuer(changed, load_model(fitted.folder, changed), shop.terms)
    _, on_hand = on_hand_readings(shop.records, changed)
    assert found.ticket_sum_after == pytest.approx(valuer.value(on_hand).ticket.sum())
