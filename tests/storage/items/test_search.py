"""Finding items by parts of words, signs, days, and words spelt wrongly, in both places."""

from __future__ import annotations

from dataclasses import fields as dataclass_fields
from datetime import datetime
from itertools import combinations

import pytest
from a_save import AT, a_save, a_valued
from servers import Place
from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session
from writing import save_item, writes

from resale.services.actor import Actor
from resale.services.items.call_label import call_label
from resale.storage.db.tables import ItemWord, SearchWord
from resale.storage.items.item_filter import ItemFilter
from resale.storage.items.item_lines import items_before
from resale.storage.items.item_pages import items_page
from resale.storage.items.search_index import keep_missing_words
from resale.storage.ledger.brought import brings
from resale.storage.ledger.consignors import save_consignor

SECOND = datetime(2026, 11, 4, 9, tzinfo=AT.tzinfo)


@pytest.fixture
def shop(records: Engine) -> Engine:
    stained = a_valued(stain="seen_3", moth="none")
    save_item(records, a_save("a", label="Harrowmere", note="Größe fällt klein"), AT)
    save_item(records, a_save("b", label="Nordhaus", valued=stained), SECOND)
    return records


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("harrow", ["Q-00001"]),
        ("ROWMER", ["Q-00001"]),
        ("grosse", ["Q-00001"]),
        ("jacket", ["Q-00002", "Q-00001"]),
        ("working cuff", ["Q-00001"]),
        ("stain coin", ["Q-00002"]),
        # What was looked for and not found is no word of it.
        ("moth", []),
        ("2", ["Q-00002"]),
        ("q-00002", ["Q-00002"]),
        ("nordhuas", ["Q-00002"]),
        ("harrowmeer jacket", ["Q-00001"]),
        # Too short to be meant for another word.
        ("zzz", []),
        ("2026-11-04", ["Q-00002"]),
        ("4.11.2026", ["Q-00002"]),
        ("11/04/2026", ["Q-00002"]),
        ("nordhaus 1.3.2026", []),
    ],
)
def test_words_signs_slips_and_days_find_the_same_on_the_screen_and_for_devices(
    shop: Engine, typed: str, found: list[str]
) -> None:
    page = items_page(shop, typed)
    assert [line.number for line in page.lines] == found and page.total == len(found)
    listed = items_before(shop, None, 10, ItemFilter(words=typed))
    assert [line.number for line in listed] == found


def test_what_was_taken_for_a_slip_is_said(shop: Engine) -> None:
    assert items_page(shop, "nordhuas").instead == (("nordhuas", "nordhaus"),)
    assert items_page(shop, "nord").instead == ()


def test_filters_narrow_what_words_find(shop: Engine) -> None:
    kinds = {"jacket": 2, "shirt": 0}
    assert {one: items_page(shop, wanted=ItemFilter(kind=one)).total for one in kinds} == kinds
    day = ItemFilter(first=SECOND.date())
    assert [line.number for line in items_page(shop, wanted=day).lines] == ["Q-00002"]
    assert items_page(shop, "harrowmere", wanted=day).total == 0
    assert items_page(shop, wanted=ItemFilter(where="back_room")).total == 2
    assert items_page(shop, wanted=ItemFilter(where="sold")).total == 0


def every_filter(tier: str) -> list[ItemFilter]:
    """Each field of a filter alone, and each two of them."""
    fields: dict[str, object] = {
        "words": "nordhaus",
        "kind": "jacket",
        "where": "back_room",
        "consignor": "C-1",
        "tier": tier,
        "first": SECOND.date(),
        "last": AT.date(),
    }
    assert set(fields) == {one.name for one in dataclass_fields(ItemFilter)}
    some = [*combinations(fields, 1), *combinations(fields, 2)]
    return [ItemFilter(**{name: fields[name] for name in names}) for names in some]  # type: ignore[arg-type]


def test_each_filter_counts_what_it_lists_and_devices_are_told_the_same(shop: Engine) -> None:
    with writes(shop) as session, session.begin():
        save_consignor(session, "C-1", "", AT)
        brings(session, "C-1", ["Q-00002"], AT, None)
    for n in range(5):
        save_item(shop, a_save(f"more {n}", label="Harrowmere"), SECOND)
    totals, tier = [], a_valued(stain="seen_3", moth="none").tier
    for wanted in every_filter(tier):
        page = items_page(shop, wanted=wanted)
        numbers = [line.number for line in page.lines]
        assert page.total == len(numbers), wanted
        assert [one.number for one in items_before(shop, None, 100, wanted)] == numbers, wanted
        totals.append(page.total)
    assert set(totals) > {0, 1, 7}


def test_another_label_another_valuation_and_a_new_start_keep_the_words_true(
    shop: Engine, place: Place
) -> None:
    call_label(shop, Actor("Leopold", "lead"), "Nordhaus", "Tarnhaus", AT)
    assert [items_page(shop, one).total for one in ("tarnhaus", "harrowmere")] == [1, 1]
    again = a_save("c", number="Q-00001", label="Harrowmere", valued=a_valued(stain="seen_3"))
    save_item(shop, again, SECOND)
    assert (items_page(shop, "working").total, items_page(shop, "coin").total) == (0, 2)
    with shop.begin() as open_one:
        before = set(open_one.execute(select(ItemWord.item_id, ItemWord.word_id)))
        open_one.execute(delete(ItemWord))
    assert items_page(shop, "coin").total == 0
    assert (keep_missing_words(shop), keep_missing_words(shop)) == (2, 0)
    with Session(shop) as session:
        assert set(session.execute(select(ItemWord.item_id, ItemWord.word_id))) == before
        assert len(set(session.scalars(select(SearchWord.word)))) == len(
            session.scalars(select(SearchWord.word)).all()
        )
