"""From a messy workbook to a price that says what the sales changed."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import openpyxl
from tiny_rule_book import tiny_rule_book
from writing import fit_from_ledger

from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import Counts, dry_run
from resale.storage.models.shop_prices import prices_of_shop

AT = datetime(2026, 6, 30, 12, tzinfo=UTC)


def test_a_messy_workbook_teaches_prices_that_differ_from_the_rules_and_say_why(place, tmp_path):
    """The whole way of a new shop: a workbook in, a fit, and an item whose price has a reason."""
    book = tiny_rule_book(tmp_path / "book")
    settings, records = place.settings(), place.open()
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.append(["No.", "Type", "Wear", "Button", "Date sold", "Paid"])
    for row in range(60):
        worn = row % 3 == 0
        cells = [datetime(2026, 1, 1 + row % 28), f"{1 + row % 28}.2.26", "31/03/2026"]  # noqa: DTZ001
        money = [18.5 if worn else 42, "18,50 €" if worn else "€ 42,00"]
        wear = "worn" if worn else "Good"
        sheet.append([f"X{row}", "Shirts", wear, "Shell", cells[row % 3], money[row % 2]])
    sheet.append(["X0", "Shirts", "worn", "Shell", datetime(2026, 1, 1), 18.5])  # noqa: DTZ001
    sheet.append(["X99", "Shirts", "shabby", "Shell", datetime(2026, 1, 1), 18.5])  # noqa: DTZ001
    stream = io.BytesIO()
    workbook.save(stream)
    run = dry_run(records, stream.getvalue(), "past.xlsx", book, settings, AT.date())
    assert run.counts == Counts(rows=62, fresh=60, doubles=1, known=0, bad=1)
    assert load(records, run, currency="EUR", at=AT, by="Ottoline") == 60
    rules = prices_of_shop(settings, book)
    fit_from_ledger(records, book, settings, AT)
    item = one_reading(book, "shirt", {"wear": "good", "button": "shell"})
    before = explain(rules.valuer(ShopTerms.of(settings)), item)
    after = explain(prices_of_shop(settings, book).valuer(ShopTerms.of(settings)), item)
    assert after.estimate > before.estimate
    assert after.all_sold == 60
    reasons = after.level_money + sum(one.sales_money for one in after.contributions)
    ruled = sum(one.rule_money for one in after.contributions)
    assert after.anchor + ruled + reasons == after.estimate
    assert reasons > 0
