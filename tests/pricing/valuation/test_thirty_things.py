"""Thirty things as a newcomer describes them, priced by the rules alone (`thirty_things.toml`)."""

import tomllib
from pathlib import Path

import pytest

from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

THINGS = tomllib.loads(Path(__file__).with_name("thirty_things.toml").read_text("utf-8"))["thing"]
READY = [one for one in THINGS if "kind" in one]
BOOK = load_rule_book()


@pytest.fixture(scope="module")
def valuer():
    return Valuer(BOOK, rules_alone(BOOK), ShopTerms())


def test_there_are_thirty_and_each_has_its_kind():
    assert len(THINGS) == 30
    assert len(READY) == 30


@pytest.mark.parametrize("thing", READY, ids=lambda thing: thing["says"][:40])
def test_a_thing_is_priced_as_makes_sense(valuer, thing):
    found = valuer.value(one_reading(BOOK, thing["kind"], thing["answers"]))
    assert thing["least"] <= found.estimate[0] <= thing["most"], thing["why"]
