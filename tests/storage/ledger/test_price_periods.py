"""How long items hung at which price, whether they sold or not."""

from __future__ import annotations

import pytest
from ledger_shop import TODAY, LedgerShop
from tiny_rule_book import tiny_rule_book

from resale.config.settings import Settings
from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.ledger.price_periods import demand_periods, stretches
from resale.storage.models.shop_prices import prices_by_rules


@pytest.fixture
def shop(records):
    return LedgerShop(records)


def test_days_are_told_apart_by_price_and_the_last_ones_still_run(shop):
    """By hand: 10 days at 20.00, 20 at 15.00 with the sale; the other hangs until 30 June."""
    sold, hangs = shop.item(), shop.item()
    shop.happens(sold, "put_out", "02-01", 2000)
    shop.happens(sold, "marked_down", "02-11", 1500)
    shop.happens(sold, "sold", "03-03", 1400)
    shop.happens(hangs, "put_out", "06-10", 900)
    found = stretches(shop.records, TODAY)
    assert [(one.price, one.days, one.sold, one.guessed) for one in found] == [
        (2000, 10, False, False),
        (1500, 20, True, False),
        (900, 20, False, False),
    ]


def test_withdrawn_days_do_not_count_and_a_sale_on_the_first_day_counts_half_a_day(shop):
    one, other = shop.item(), shop.item()
    shop.happens(one, "put_out", "02-01", 2000)
    shop.happens(one, "withdrawn", "02-06")
    shop.happens(one, "put_out", "03-01", 1800)
    shop.happens(one, "passed_on", "03-11")
    shop.happens(other, "put_out", "02-01", 700)
    shop.happens(other, "sold", "02-01", 700)
    assert [(s.price, s.days, s.sold) for s in stretches(shop.records, TODAY)] == [
        (2000, 5, False),
        (1800, 10, False),
        (700, 0.5, True),
    ]


def test_the_first_day_counts_alike_whether_things_sold_on_it_or_not(shop):
    """Twelve put out today, one sold: twelve half days hung, not half a day with a sale."""
    for place in range(12):
        number = shop.item()
        shop.happens(number, "put_out", "06-30", 2000)
        if not place:
            shop.happens(number, "sold", "06-30", 2000)
    changed = shop.item()
    shop.happens(changed, "put_out", "06-29", 2000)
    shop.happens(changed, "marked_down", "06-29", 1500)
    found = stretches(shop.records, TODAY)
    assert sorted(one.sold for one in found) == [False] * 12 + [True]
    assert [(one.price, one.days) for one in found] == [(2000, 0.5)] * 12 + [(1500, 1)]


def test_a_mark_down_of_unknown_day_halves_the_days_and_says_so(shop):
    number = shop.item()
    shop.happens(number, "put_out", "02-01", 2000, data={"last_ticket": 1500})
    shop.happens(number, "sold", "02-11", 1500)
    assert [(s.price, s.days, s.sold, s.guessed) for s in stretches(shop.records, TODAY)] == [
        (2000, 5, False, True),
        (1500, 5, True, True),
    ]


def test_price_periods_stand_against_what_the_present_model_says(shop, tmp_path):
    book, settings = tiny_rule_book(tmp_path / "book"), Settings()
    number = shop.item(choices={"wear": "good"})
    shop.happens(number, "put_out", "02-01", 2000)
    shop.happens(number, "sold", "02-11", 1900)
    shop.happens(shop.item(kind="kite"), "put_out", "02-01", 500)
    valuer = prices_by_rules(book).valuer(ShopTerms.of(settings))
    estimate = explain(valuer, one_reading(book, "shirt", {"wear": "good"})).estimate
    periods = demand_periods(shop.records, valuer, TODAY)
    assert periods.ratio.tolist() == [pytest.approx(2000 / estimate)]
    assert (periods.days.tolist(), periods.sold.tolist()) == ([10.0], [True])
