"""Photos are kept once, whole or not at all, for as long as the shop says, and go for good."""

from __future__ import annotations

import csv
import errno
import io
import os
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from camera import shot
from ledger_shop import NOON, LedgerShop
from sqlalchemy import Engine
from writing import add_photo, remove_photo

from resale.config.settings import Settings
from resale.services.photos import add_photo as photo_service
from resale.storage.backup.export import take_out
from resale.storage.backup.make import make_backup
from resale.storage.db.disk_faults import DiskFullError
from resale.storage.db.shared_files import are_shared, shared_digests
from resale.storage.items.store import NotSavedError
from resale.storage.photos.files import FOLDER, photo_path
from resale.storage.photos.photos import photo_at_hand, photo_by_id, photos_for_teaching, photos_of
from resale.storage.photos.pixels import PhotoError
from resale.storage.photos.retention import Tidied, tidy_photos
from resale.storage.photos.write_photos import review_photo, show_sign


@pytest.fixture
def shop(records: Engine) -> LedgerShop:
    return LedgerShop(records)


@pytest.fixture
def rules(tmp_path: Path) -> Settings:
    return Settings(data_folder=tmp_path, photos_most=3)


def files(rules: Settings) -> list[Path]:
    return sorted((rules.data_folder / FOLDER).glob("*"))


def keep(shop: LedgerShop, rules: Settings, number: str, width: int = 90, **more: str) -> int:
    return add_photo(shop.records, rules, number, shot(width, 60), at=NOON, **more)


def test_a_photo_taken_on_one_machine_is_shown_on_another(
    shop: LedgerShop, rules: Settings, tmp_path: Path
) -> None:
    """With records on a server each machine has a folder of its own."""
    if not are_shared(shop.records):
        pytest.skip("records in a file lie in the folder itself")
    kept = photo_by_id(shop.records, keep(shop, rules, shop.item()))
    beside = tmp_path / "beside"
    here = photo_path(rules.data_folder, kept.name, "full").read_bytes()
    there = photo_at_hand(shop.records, beside, kept.name, "full")
    assert there.read_bytes() == here
    remove_photo(shop.records, rules.data_folder, kept.id)
    assert shared_digests(shop.records, FOLDER) == {}


def test_a_photo_is_kept_under_a_name_of_nobodys(shop: LedgerShop, rules: Settings) -> None:
    number = shop.item()
    kept = keep(shop, rules, number, signal="pilling", by="Ann")
    (found,) = photos_of(shop.records, number)
    assert found == photo_by_id(shop.records, kept)
    assert (found.number, found.signal, found.by, found.width) == (number, "pilling", "Ann", 90)
    assert [one.name for one in files(rules)] == [
        f"{found.name}-full.jpg",
        f"{found.name}-small.jpg",
    ]
    assert all(one.stat().st_mode & 0o777 == 0o600 for one in files(rules))


def test_the_same_photo_sent_again_is_kept_once_for_an_item(
    shop: LedgerShop, rules: Settings
) -> None:
    number, other = shop.item(), shop.item()
    assert keep(shop, rules, number) == keep(shop, rules, number)
    assert keep(shop, rules, other) != keep(shop, rules, number)
    assert len(files(rules)) == 4


def test_two_who_send_the_same_photo_at_once_keep_it_once(
    shop: LedgerShop, rules: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    number, real = shop.item(), photo_service.write_photo
    others = []

    def slow(*told):
        monkeypatch.setattr(photo_service, "write_photo", real)
        others.append(keep(shop, rules, number))
        return real(*told)

    monkeypatch.setattr(photo_service, "write_photo", slow)
    assert [keep(shop, rules, number)] == others
    assert len(files(rules)) == 2


def test_an_item_has_room_for_so_many_and_no_more(shop: LedgerShop, rules: Settings) -> None:
    number = shop.item()
    for width in (50, 60, 70):
        keep(shop, rules, number, width)
    with pytest.raises(PhotoError, match="3 photos of this item are kept already"):
        keep(shop, rules, number, 80)
    # One that is known needs no room.
    keep(shop, rules, number, 70)
    assert len(files(rules)) == 6


@pytest.mark.parametrize("name", ["../../shop", "a" * 31, "A" * 32, "..", "", "0" * 32 + "/x"])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="is no name of a photo"):
        photo_path(tmp_path, name, "full")
    with pytest.raises(ValueError, match="is no name of a photo"):
        photo_path(tmp_path, "0" * 32, "../x")  # type: ignore[arg-type]


class Pulled(BaseException):
    """The plug."""


def test_a_crash_between_file_and_row_leaves_strays_that_are_tidied(
    shop: LedgerShop, rules: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = shop.item()
    kept = keep(shop, rules, number)

    def pull(*_: object, **__: object) -> None:
        raise Pulled

    with monkeypatch.context() as patch, pytest.raises(Pulled):
        patch.setattr(photo_service, "write_upload", pull)
        keep(shop, rules, number, 70)
    assert [one.id for one in photos_of(shop.records, number)] == [kept]
    (rules.data_folder / FOLDER / f"{'0' * 32}-full.jpg.part").write_bytes(b"half")
    assert len(files(rules)) == 5
    for one in files(rules):
        os.utime(one, (NOON.timestamp(),) * 2)
    # A file that was written a moment ago may be waiting for its row.
    soon = NOON + timedelta(minutes=30)
    assert tidy_photos(shop.records, rules, soon) == Tidied(0, 0)
    assert tidy_photos(shop.records, rules, NOON + timedelta(hours=2)) == Tidied(0, 3)
    assert len(files(rules)) == 2


def test_a_row_that_cannot_be_written_leaves_no_file(
    shop: LedgerShop, rules: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("disk full")

    monkeypatch.setattr(photo_service, "write_upload", fail)
    with pytest.raises(RuntimeError):
        keep(shop, rules, shop.item())
    assert files(rules) == []


def test_a_full_disk_is_said_and_leaves_no_half_a_photo(
    shop: LedgerShop, rules: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    number = shop.item()
    with monkeypatch.context() as patch, pytest.raises(DiskFullError):
        patch.setattr("resale.storage.photos.files.os.fsync", full)
        keep(shop, rules, number)
    assert files(rules) == [] and photos_of(shop.records, number) == ()


def test_a_photo_goes_for_good(shop: LedgerShop, rules: Settings) -> None:
    kept = keep(shop, rules, shop.item())
    remove_photo(shop.records, rules.data_folder, kept)
    assert files(rules) == []
    with pytest.raises(NotSavedError):
        photo_by_id(shop.records, kept)
    with pytest.raises(NotSavedError):
        photo_by_id(shop.records, 10**30)


def test_a_photo_teaches_one_sign_with_one_right_option(shop: LedgerShop, rules: Settings) -> None:
    kept = keep(shop, rules, shop.item())
    with pytest.raises(PhotoError, match="it shows no sign yet"):
        review_photo(shop.records, kept, "", "light", by="Lea", at=NOON)
    show_sign(shop.records, kept, "pilling")
    with pytest.raises(PhotoError, match="shows another sign"):
        review_photo(shop.records, kept, "stain", "none", by="Lea", at=NOON)
    review_photo(shop.records, kept, "pilling", "light", by="Lea", at=NOON)
    (teaching,) = photos_for_teaching(shop.records)
    assert (teaching.id, teaching.kind, teaching.signal, teaching.option) == (
        kept,
        "shirt",
        "pilling",
        "light",
    )
    assert (rules.data_folder / teaching.file).is_file()
    # The same sign said again changes nothing; another one takes the mark away.
    show_sign(shop.records, kept, "pilling")
    assert photos_for_teaching(shop.records)
    show_sign(shop.records, kept, "stain")
    assert photos_for_teaching(shop.records) == ()
    assert photo_by_id(shop.records, kept).reviewed == ""


def test_photos_of_what_left_the_shop_go_after_so_many_days(
    shop: LedgerShop, rules: Settings
) -> None:
    numbers = {name: shop.item() for name in ("sold", "passed", "late", "back", "here", "teaches")}
    for name, number in numbers.items():
        kept = keep(shop, rules, number, signal="pilling")
        if name in ("sold", "late", "back", "teaches"):
            shop.happens(number, "sold", "06-01" if name == "late" else "02-01", 900)
        if name == "teaches":
            review_photo(shop.records, kept, "pilling", "light", by="Lea", at=NOON)
    shop.happens(numbers["passed"], "passed_on", "02-01")
    shop.happens(numbers["back"], "returned", "02-10")
    for days, gone in ((0, 0), (149, 0), (148, 2), (20, 1)):
        told = rules.model_copy(update={"photo_days": days})
        # Noon is on 30 June; 1 February was 149 days before.
        assert tidy_photos(shop.records, told, NOON).photos == gone, days
    left = {name for name, number in numbers.items() if photos_of(shop.records, number)}
    assert left == {"back", "here", "teaches"}
    assert len(files(rules)) == 6


def test_photos_are_taken_out_and_kept_in_copies_with_the_shop(
    tmp_path: Path, rules: Settings
) -> None:
    shop = LedgerShop(tmp_path)
    keep(shop, rules, shop.item(), signal="pilling")
    out = take_out(shop.records, rules, tmp_path / "out", NOON)
    with zipfile.ZipFile(out.path) as archive:
        (row,) = csv.DictReader(io.StringIO(archive.read("photos.csv").decode()))
    assert (row["signal"], row["width"]) == ("pilling", "90")
    kept = make_backup(shop.records, rules, tmp_path / "copies", NOON)
    with zipfile.ZipFile(kept.path) as archive:
        assert {f"photos/{one.name}" for one in files(rules)} <= set(archive.namelist())
