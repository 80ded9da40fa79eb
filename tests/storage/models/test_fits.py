"""Learning from the ledger: models are kept, switched to and back, and old prices stay as told."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from changed_book import with_change
from ledger_shop import NOON, TODAY, LedgerShop
from sqlalchemy import select, text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session
from tiny_rule_book import tiny_rule_book
from writing import fit_from_ledger, save_item, switch_to

from resale.config.prices import TicketStep
from resale.config.settings import Settings
from resale.errors import ModelFileError
from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.db.shared_files import are_shared, shared_digests, unshare
from resale.storage.items.new_save import NewSave
from resale.storage.items.replay import replay
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.sold_items import newest_sold, sold_count, sold_items
from resale.storage.models.book_archive import book_path, store_book, stored_book
from resale.storage.models.fits import NothingSoldError
from resale.storage.models.model_runs import fitted_models
from resale.storage.models.shop_prices import prices_by_rules, prices_of_shop


@pytest.fixture
def shop(records):
    return LedgerShop(records)


@pytest.fixture
def book(tmp_path):
    return tiny_rule_book(tmp_path / "book")


@pytest.fixture
def settings(place):
    return place.settings()


def sell(shop, count=30, price=2500, **choices):
    for place in range(count):
        number = shop.item("01-02", choices=choices)
        shop.happens(number, "put_out", "01-03", price)
        shop.happens(number, "sold", f"{1 + place % 5:02d}-2{place % 9}", price)


def save(shop, book, settings, prices, key, terms=True, **choices):
    """Value a shirt and save it, as the bench does."""
    valuer = prices.valuer(ShopTerms.of(settings))
    valued = explain(valuer, one_reading(book, "shirt", choices))
    new = NewSave(
        key=key,
        number=None,
        kind="shirt",
        label="",
        size="",
        note="",
        inputs={"kind": "shirt", "choices": choices},
        valued=valued,
        book_version=book.version,
        book_fingerprint=book.fingerprint,
        model_id=prices.model_id,
        terms=ShopTerms.of(settings) if terms else None,
    )
    return save_item(shop.records, new, NOON)


# ---------------------------------------------------------------- what sold
def test_what_sold_and_stayed_sold_is_learned_from(shop, book, settings):
    kept, back, twice = (shop.item(choices={"wear": "good", "gone": "x"}) for _ in range(3))
    shop.happens(kept, "sold", "02-01", 1250)
    shop.happens(back, "sold", "02-01", 900)
    shop.happens(back, "returned", "02-02")
    shop.happens(twice, "sold", "02-01", 900)
    shop.happens(twice, "returned", "02-02")
    shop.happens(twice, "sold", "06-29", 800)
    strange = shop.item(kind="kite")
    shop.happens(strange, "sold", "02-01", 500)
    sold = sold_items(shop.records, book, settings)
    assert sold.numbers == (kept, twice)
    assert sold.price.tolist() == [12.5, 8.0]
    assert sold.readings.choices(book, 0) == {"wear": "good"}
    assert sold.left_out == 1
    weights = sold.weights(TODAY, 365)
    np.testing.assert_allclose(weights, 0.5 ** (np.array([149, 1]) / 365))


def test_a_later_valuation_goes_before_what_came_with_a_file(shop, book, settings):
    number = save(shop, book, settings, prices_by_rules(book), "k", wear="worn", cloth="thick")
    shop.happens(number, "sold", "06-30", 900)
    sold = sold_items(shop.records, book, settings)
    assert sold.readings.choices(book, 0) == {"wear": "worn", "cloth": "thick"}
    assert sold.readings.seasons == ("cold weather, Jun to Aug",)


def test_labels_that_differ_in_capitals_are_one_label(shop, book, settings):
    numbers = [shop.item() for _ in range(3)]
    for number, label in zip(numbers, ("Ombrick", "OMBRICK", "Ombrick"), strict=True):
        with shop.records.execution_options(writes=True).begin() as one:
            order = text("UPDATE item SET label = :label WHERE number = :number")
            one.execute(order, {"label": label, "number": number})
        shop.happens(number, "sold", "02-01", 900)
    assert sold_items(shop.records, book, settings).readings.labels == ("Ombrick",) * 3


def test_the_newest_sales_of_a_kind_are_the_last_of_all_that_sold(shop, book, settings):
    """What a page looks at agrees with what a fit is told: the same sales, some of them."""
    for day in range(1, 10):
        number = shop.item(kind=("shirt", "boot")[day % 2])
        shop.happens(number, "sold", f"03-0{day}", 900 + day)
        if day == 8:
            shop.happens(number, "returned", "03-09")
    every = sold_items(shop.records, book, settings)
    kinds = tuple(book.kinds)
    of_kind = zip(every.numbers, every.readings.kinds, strict=True)
    shirts = [number for number, kind in of_kind if kinds[kind] == "shirt"]
    last_two = select(newest_sold("shirt", 2).subquery().c.item_id)
    lately = sold_items(shop.records, book, settings, last_two)
    # What came to nothing takes no place among them.
    assert list(lately.numbers) == shirts[-2:]
    assert sold_count(shop.records, book, settings) == len(every) == 8


# ---------------------------------------------------------------- fit and switch
def test_a_fit_is_a_new_model_that_prices_follow_and_one_action_leads_back(shop, book, settings):
    sell(shop, wear="good")
    before = prices_of_shop(settings, book)
    assert before.model_id.startswith("rules-")
    steps = []
    first = fit_from_ledger(
        shop.records, book, settings, NOON, lambda *step: steps.append(step), "first"
    )
    assert [step[:2] for step in steps] == [(0, 3), (1, 3), (2, 3), (3, 3)]
    assert (first.sales, first.note, first.current) == (30, "first", True)
    assert prices_of_shop(settings, book).model_id == first.model_id
    sell(shop, 10, 4000, wear="good")
    second = fit_from_ledger(shop.records, book, settings, NOON)
    assert prices_of_shop(settings, book, shop.records).model_id == second.model_id
    switch_to(shop.records, settings, book, first.model_id, at=NOON)
    listed = fitted_models(shop.records, settings)
    assert [(one.model_id, one.current) for one in listed] == [
        (second.model_id, False),
        (first.model_id, True),
    ]
    assert prices_of_shop(settings, book).model_id == first.model_id
    switch_to(shop.records, settings, book, None, at=NOON)
    assert prices_of_shop(settings, book).model_id == before.model_id


def test_the_same_fit_on_the_same_day_is_the_same_model(shop, book, settings):
    sell(shop)
    fits = [fit_from_ledger(shop.records, book, settings, NOON) for _ in range(2)]
    assert fits[0].model_id == fits[1].model_id
    assert len(fitted_models(shop.records, settings)) == 1


def test_older_sales_count_less_by_the_shop_s_own_half_life(shop, book, settings):
    sell(shop, 20, 2000)
    for _ in range(20):
        shop.happens(shop.item(), "sold", "06-29", 6000)
    short = replace_settings(settings, half_life_days=10)
    levels = []
    for chosen in (settings, short):
        fit_from_ledger(shop.records, book, chosen, NOON)
        model = prices_of_shop(chosen, book).model
        levels.append(model.tables["shirt"].level)
    assert levels[1] > levels[0]


def replace_settings(settings, **changes):
    # A plain copy would keep the terms that were made from the old values.
    known = {name: getattr(settings, name) for name in Settings.model_fields}
    return Settings(**{**known, **changes})


def test_with_nothing_sold_there_is_nothing_to_learn_from(shop, book, settings):
    shop.item()
    with pytest.raises(NothingSoldError, match="nothing sold yet"):
        fit_from_ledger(shop.records, book, settings, NOON)


def test_a_model_that_was_never_fitted_here_cannot_be_switched_to(shop, book, settings):
    with pytest.raises(ModelFileError, match="no model 'abc' was fitted here; fit one first"):
        switch_to(shop.records, settings, book, "abc", at=NOON)


def test_a_model_of_another_rule_book_is_said_and_the_rules_hold(shop, book, settings):
    sell(shop)
    found = fit_from_ledger(shop.records, book, settings, NOON)
    changed = with_change(book, "shirt", "wear", "good", effect=1.2)
    prices = prices_of_shop(settings, changed)
    assert prices.model_id.startswith("rules-")
    assert "fitted with rule book" in prices.fallback
    with pytest.raises(ModelFileError, match="fitted with rule book"):
        switch_to(shop.records, settings, changed, found.model_id, at=NOON)


def test_the_database_refuses_to_change_what_was_fitted_or_switched_to(shop, book, settings):
    sell(shop, 3)
    fit_from_ledger(shop.records, book, settings, NOON)
    for order in ("UPDATE model_run SET note = 'x'", "DELETE FROM model_switch"):
        with pytest.raises(DatabaseError, match="never"), shop.records.begin() as one:
            one.execute(text(order))


# ---------------------------------------------------------------- replay
def test_an_old_valuation_is_worked_out_again_to_the_cent(shop, book, settings):
    """By the rule book, model and terms of its day, though all three changed since."""
    sell(shop, wear="good")
    fit_from_ledger(shop.records, book, settings, NOON)
    then = prices_of_shop(settings, book, shop.records)
    number = save(shop, book, settings, then, "k", wear="good", button="shell")
    sell(shop, 30, 6000)
    changed = with_change(book, "shirt", "button", "shell", effect=1.5)
    fit_from_ledger(shop.records, changed, settings, NOON + timedelta(days=1))
    steep = replace_settings(settings, coverage=0.9, ticket_steps=settings.ticket_steps[-1:])
    again = replay(shop.records, steep, changed, number)
    assert (again.equal, again.why) == (True, "")
    assert again.now == again.was
    assert again.now.ticket == again.was.ticket


def test_a_valuation_by_rules_alone_is_worked_out_by_the_rules_of_its_day(shop, book, settings):
    then = prices_of_shop(settings, book, shop.records)
    number = save(shop, book, settings, then, "k", wear="worn")
    changed = with_change(book, "shirt", "wear", "worn", effect=0.5)
    assert replay(shop.records, settings, changed, number).equal


def nobody_else_has_it(shop):
    with Session(shop.records.execution_options(writes=True)) as session, session.begin():
        unshare(session, shared_digests(shop.records))


def test_what_another_machine_learned_is_fetched_from_a_server(shop, book, settings):
    """A machine with an empty folder of its own, as one that is set up beside the first."""
    if not are_shared(shop.records):
        pytest.skip("records in a file lie in the folder itself")
    sell(shop, wear="good")
    found = fit_from_ledger(shop.records, book, settings, NOON)
    then = prices_of_shop(settings, book, shop.records)
    number = save(shop, book, settings, then, "k", wear="good")
    changed = with_change(book, "shirt", "wear", "worn", effect=0.5)
    beside = replace_settings(settings, data_folder=settings.data_folder.with_name("beside"))
    there = prices_of_shop(beside, book, shop.records)
    assert (there.model_id, there.fallback) == (found.model_id, None)
    assert replay(shop.records, beside, changed, number).equal


def test_where_it_cannot_be_worked_out_again_the_reason_is_said(shop, book, settings):
    sell(shop, wear="good")
    found = fit_from_ledger(shop.records, book, settings, NOON)
    then = prices_of_shop(settings, book, shop.records)
    number = save(shop, book, settings, then, "k", wear="good")
    shutil.rmtree(found.folder)
    nobody_else_has_it(shop)
    again = replay(shop.records, settings, book, number)
    assert not again.equal
    assert f"no copy of the model {found.model_id} was kept" in again.why
    changed = with_change(book, "shirt", "wear", "worn", effect=0.5)
    path = book_path(book.fingerprint, settings.data_folder)
    path.write_text(path.read_text().replace("Good", "Bad"))
    assert (
        "rule book of that time was altered" in replay(shop.records, settings, changed, number).why
    )
    path.unlink()
    again = replay(shop.records, settings, changed, number)
    assert "no copy of the rule book of that time was kept" in again.why
    with pytest.raises(NotSavedError, match="has no such valuation"):
        replay(shop.records, settings, book, number, back=1)


def test_terms_that_were_not_kept_are_named_where_a_ticket_differs(shop, book, settings):
    then = prices_by_rules(book)
    number = save(shop, book, settings, then, "k", terms=False, wear="good")
    assert replay(shop.records, settings, book, number).equal
    steep = replace_settings(settings, ticket_steps=(TicketStep(float("inf"), 7),))
    again = replay(shop.records, steep, book, number)
    assert [name for name, _, _ in again.differs] == ["ticket"]
    assert again.why == "How the shop rounded its tickets that day was not kept."


def test_a_kept_rule_book_is_the_book_itself(book, tmp_path):
    store_book(book, tmp_path)
    store_book(book, tmp_path)
    again = stored_book(book.fingerprint, tmp_path, replace(book, fingerprint="other"))
    assert again == book
    assert stored_book("other", tmp_path, replace(book, fingerprint="other")).fingerprint == "other"
