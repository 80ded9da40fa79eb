"""What a fit learns from: worths of all that hung, not the marks at which things went."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from ledger_shop import NOON, TODAY, LedgerShop
from tiny_rule_book import tiny_rule_book

from resale.config.settings import Settings
from resale.pricing.make.tells import loadings_from
from resale.pricing.model.learn import learn
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.storage.ledger.sold_items import sold_items
from resale.storage.models.fits import fit_from_ledger
from resale.storage.models.model_files import load_model
from resale.storage.models.taught_worths import FEWEST, taught_worths

HALF = 24


@pytest.fixture
def book(tmp_path):
    return tiny_rule_book(tmp_path / "book")


@pytest.fixture
def shop(tmp_path):
    return LedgerShop(tmp_path)


@pytest.fixture
def settings(tmp_path):
    return Settings(data_folder=tmp_path)


def put_out(shop, days_ago, price=2000):
    number = shop.item("01-02")
    shop.happens(number, "put_out", on(days_ago), price)
    return number


def on(days_ago):
    return f"{TODAY - timedelta(days=days_ago):%m-%d}"


def season(shop):
    """Half sell at 20.00 within 28 days; the rest are marked to 10.00, and most of them go."""
    for place in range(HALF):
        number = put_out(shop, 100)
        shop.happens(number, "sold", on(99 - place), 2000)
    for place in range(HALF):
        number = put_out(shop, 100)
        shop.happens(number, "marked_down", on(72), 1000)
        if place < HALF // 2:
            shop.happens(number, "sold", on(71 - place), 1000)
        else:
            shop.happens(number, "passed_on", on(44))


def estimate(book, sold, settings):
    weights = sold.weights(TODAY, settings.half_life_days)
    model = learn(book, sold.readings, sold.price, weights)
    return float(Valuer(book, model, ShopTerms()).value(sold.readings).estimate[0])


def test_what_sold_at_a_mark_teaches_what_it_was_worth(shop, book, settings):
    """By definition these are worth 20.00: half sold in 28 days at it. What they brought is
    15.87 in the middle (geometric mean of 24 times 20 and 12 times 10), and what a shop would
    ask next if it learned from that."""
    season(shop)
    sold = sold_items(shop.records, book, settings)
    taught = taught_worths(shop.records, book, settings, sold, TODAY)
    assert len(sold) == 36
    assert len(taught) == 48
    assert estimate(book, taught, settings) == pytest.approx(20.0, rel=0.1)
    assert estimate(book, sold, settings) < 17.5
    again = taught_worths(shop.records, book, settings, sold, TODAY)
    assert again.price.tolist() == taught.price.tolist()


def test_the_fit_of_a_shop_learns_worths(shop, book, settings):
    season(shop)
    found = fit_from_ledger(shop.records, book, settings, NOON)
    sold = sold_items(shop.records, book, settings)
    model = load_model(found.folder, book)
    asked = Valuer(book, model, ShopTerms()).value(sold.readings).estimate[0]
    assert asked == pytest.approx(20.0, rel=0.1)
    assert found.sales == len(sold)


def test_fresh_things_wait_and_too_few_leave_sales_as_they_are(shop, book, settings):
    for _ in range(FEWEST - 2):
        put_out(shop, 40)
    for _ in range(10):
        put_out(shop, 5)
    number = put_out(shop, 40)
    shop.happens(number, "sold", on(20), 2000)
    sold = sold_items(shop.records, book, settings)
    assert taught_worths(shop.records, book, settings, sold, TODAY) is sold
    put_out(shop, 40)
    assert len(taught_worths(shop.records, book, settings, sold, TODAY)) == FEWEST


def test_bare_sales_join_with_their_shortfall(shop, book, settings):
    season(shop)
    for place in range(30):
        number = shop.item("01-02")
        shop.happens(number, "sold", on(150 + place), 1600)
    sold = sold_items(shop.records, book, settings)
    taught = taught_worths(shop.records, book, settings, sold, TODAY)
    assert len(taught) == 48 + 30
    bare = taught.price[48:]
    assert np.ptp(bare) < 1e-9
    assert 16.0 < bare[0] < 21.0


def test_what_never_sold_teaches_how_signs_go_together(shop, book, settings, monkeypatch):
    """Loadings need no sale: a fit learns them from all that was read, and once."""
    season(shop)
    for _ in range(5):
        shop.item("01-02")
    seen = []

    def looked_at(known, readings):
        seen.append(len(readings))
        return loadings_from(known, readings)

    monkeypatch.setattr("resale.storage.models.fits.loadings_from", looked_at)
    monkeypatch.setattr("resale.pricing.model.learn.loadings_from", looked_at)
    fit_from_ledger(shop.records, book, settings, NOON)
    assert seen == [2 * HALF + 5]
