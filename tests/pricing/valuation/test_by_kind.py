"""Tables of a kind are laid out when it is asked for, once, and are what they would have been."""

from typing import Any

import numpy as np
import pytest

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation import read_off
from resale.pricing.valuation.by_kind import ByKind
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer


def test_each_is_made_once_and_only_when_asked_for() -> None:
    made: list[str] = []

    def lay_out(kind: str) -> str:
        made.append(kind)
        return kind.upper()

    tables = ByKind(["shirt", "bag"], lay_out)
    assert list(tables) == ["shirt", "bag"] and len(tables) == 2
    assert "bag" in tables and "hat" not in tables and not made
    assert [tables["bag"], tables["bag"]] == ["BAG", "BAG"] and made == ["bag"]
    with pytest.raises(KeyError):
        tables["hat"]
    assert dict(tables) == {"shirt": "SHIRT", "bag": "BAG"} and made == ["bag", "shirt"]


def test_a_shop_without_sales_lays_out_the_kind_that_is_on_the_desk(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []
    plain = read_off.without_sales

    def counted(*of: Any) -> Any:
        asked.append(of[2].id)
        return plain(*of)

    monkeypatch.setattr(read_off, "without_sales", counted)
    book = load_rule_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    codes = np.full((3, len(book.signal_ids)), -1, dtype=np.int16)
    valuer.value(Readings(np.full(3, list(book.kinds).index("shirt")), codes, ("",) * 3))
    assert asked == ["shirt"]
