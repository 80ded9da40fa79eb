"""A save as a bench hands it in, for tests that only need one to be there."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuation import Valuation
from resale.pricing.valuation.valuer import Valuer
from resale.storage.items.new_save import NewSave

AT = datetime(2026, 3, 1, 12, 30, tzinfo=UTC)


@cache
def a_valued(**choices: str) -> Valuation:
    book = load_rule_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    return explain(valuer, one_reading(book, "jacket", choices))


def a_save(key: str = "key-1", **more: object) -> NewSave:
    save = NewSave(
        key=key,
        number=None,
        kind="jacket",
        label="Harrowmere",
        size="52",
        note="",
        inputs={"kind": "jacket", "choices": {"cuff_buttons": "working"}},
        valued=a_valued(cuff_buttons="working"),
        book_version="2026-01-01",
        book_fingerprint="f" * 64,
        model_id="rules",
    )
    return replace(save, **more)  # type: ignore[arg-type]
