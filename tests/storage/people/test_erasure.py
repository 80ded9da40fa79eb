"""Forgetting a consignor: name and photos go, the accounts stay, notes are shown to a lead."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from a_save import a_save
from camera import shot
from consigned_shop import ConsignedShop
from ledger_shop import NOON, TODAY, LedgerShop
from sqlalchemy import Engine, update
from writing import add_photo, save_item, writes

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.consignors.forget_consignor import forget_consignor
from resale.services.settlement.papers import statement_closed
from resale.storage.db.tables import ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.brought import brings
from resale.storage.ledger.consignors import consignor_numbered, save_consignor
from resale.storage.ledger.day_book import day_book
from resale.storage.people.erasure import NoteFound, traces_of
from resale.storage.photos.files import FOLDER
from resale.storage.photos.photos import photos_of
from resale.storage.photos.write_photos import review_photo

LEAD = Actor("Leopold", "lead")


@pytest.fixture
def shop(records: Engine) -> LedgerShop:
    return LedgerShop(records)


def given_to(records: Engine, number: str, item: str) -> None:
    with writes(records) as session, session.begin():
        brings(session, number, [item], NOON, None)


def test_name_and_photos_go_and_the_accounts_stay(shop: LedgerShop, tmp_path: Path) -> None:
    rules, mine, other = Settings(data_folder=tmp_path), shop.item(), shop.item()
    for number, brought in (("C-1", mine), ("C-2", other)):
        save_consignor(shop.records, number, "An Invented Name", NOON)
        given_to(shop.records, number, brought)
        add_photo(shop.records, rules, brought, shot(), at=NOON, signal="pilling")
    (teaching,) = photos_of(shop.records, mine)
    review_photo(shop.records, teaching.id, "pilling", "light", by="Lea", at=NOON)
    shop.happens(mine, "sold", "02-01", 900)
    assert traces_of(shop.records, "c-1").photos == 1
    assert forget_consignor(shop.records, tmp_path, LEAD, "c-1", NOON).photos == 1
    left = traces_of(shop.records, "c-1")
    assert (left.name, left.photos) == ("forgotten", 0)
    assert consignor_numbered(shop.records, "C-1").items == 1
    assert consignor_numbered(shop.records, "C-2").name == "An Invented Name"
    assert not photos_of(shop.records, mine) and photos_of(shop.records, other)
    assert len(list((tmp_path / FOLDER).iterdir())) == 2
    assert day_book(shop.records, TODAY.replace(month=1), TODAY, "EUR").sums.sold == 900
    # Asked twice, the same stands.
    assert forget_consignor(shop.records, tmp_path, LEAD, "C-1", NOON) == left


def test_every_note_that_may_tell_of_a_person_is_shown_where_it_stands(shop: LedgerShop) -> None:
    inputs = {**a_save().inputs, "note": "from Ann's aunt"}
    number = save_item(shop.records, a_save(note="from Ann's aunt", inputs=inputs), NOON)
    shop.happens(number, "sold", "06-30", 900, note="Ann came herself")
    quiet = shop.item()
    with shop.records.execution_options(writes=True).begin() as open_one:
        open_one.execute(update(ItemRow).where(ItemRow.number == quiet).values(note="blue"))
    save_consignor(shop.records, "C-1", "Ann", NOON)
    given_to(shop.records, "C-1", number)
    assert set(traces_of(shop.records, "C-1").notes) == {
        NoteFound(number, "item", "from Ann's aunt"),
        NoteFound(number, "valuation", "from Ann's aunt"),
        NoteFound(number, "ledger", "Ann came herself"),
    }


def test_closed_statements_stay_without_the_name_and_notes_of_the_accounts_are_shown(
    tmp_path: Path, empty_records: Path
) -> None:
    shutil.copy(empty_records, tmp_path)
    shop = ConsignedShop(tmp_path)
    save_consignor(shop.shop.records, "C-1", "Ann", NOON)
    shop.sells(shop.brings("C-1"), "02-01", 900)
    shop.moves("C-1", "deduction", "02-02", 50, note="for Ann's aunt")
    before = shop.closes("C-1", "02-28")
    left = forget_consignor(shop.shop.records, tmp_path, LEAD, "C-1", NOON)
    assert left.notes == (NoteFound("C-1", "account", "for Ann's aunt"),)
    after = statement_closed(shop.shop, "C-1", 1)
    assert (after.consignor.name, after.lines) == ("forgotten", before.lines)


def test_nobody_cannot_be_forgotten(shop: LedgerShop, tmp_path: Path) -> None:
    with pytest.raises(NotSavedError, match="no consignor 'C-9' is kept"):
        forget_consignor(shop.records, tmp_path, LEAD, "C-9", NOON)
