"""Copies of the day share what did not change, and each is still the whole shop of its day."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import sqlite3
import sys
import threading
import zipfile
import zlib
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from kept_shop import AT, PHOTO, asked, small_shop

from resale.storage.backup.catalogue import backups_in, let_go, room_taken
from resale.storage.backup.make import make_backup
from resale.storage.backup.manifest import CopyError
from resale.storage.backup.pieces.cutting import BLOCK, cut
from resale.storage.backup.pieces.listing import read_listing
from resale.storage.backup.pieces.store import FOLDER, HarmedPieceError, PieceStore
from resale.storage.backup.pieces.tidying import let_go_of_pieces
from resale.storage.backup.pieces.turns import turn
from resale.storage.backup.restore import restore_backup
from resale.storage.backup.server_dump import DUMP
from resale.storage.backup.verify import check_archive, opened
from resale.storage.backup.whole_copy import write_whole
from resale.storage.db.database import FILE_NAME, open_records

YEAR = AT + timedelta(days=365)


@pytest.fixture
def shop(tmp_path):
    shop, settings = small_shop(tmp_path / "shop")
    yield shop, settings
    shop.records.dispose()


def daily(shop, settings, day=0):
    place = settings.data_folder / "copies"
    return make_backup(shop.records, settings, place, AT + timedelta(days=day), why="daily").path


def packs(copies):
    return sorted((copies / FOLDER).glob("*.pack"))


def content(path):
    """What a copy holds, by name of the file."""
    with opened(path) as copy:
        return {name: b"".join(copy.parts(name)) for name in copy.manifest.files}


def noise(seed, size):
    """Bytes that nothing makes smaller."""
    return random.Random(seed).randbytes(size)  # noqa: S311 - no secret


def turned(path, at):
    """Turn one bit of a file round."""
    harmed = bytearray(path.read_bytes())
    harmed[at] ^= 1
    path.write_bytes(harmed)


# ---------------------------------------------------------------- shared and whole
def test_a_second_day_adds_what_changed_and_both_days_come_back(shop, tmp_path):
    ledger, _ = shop
    ledger.item()
    first = daily(*shop)
    before = room_taken(first.parent)
    ledger.item()
    second = daily(*shop, day=1)
    assert room_taken(first.parent) - before < before / 3
    assert read_listing(second).manifest.added < read_listing(first).manifest.added / 3
    for path, items in ((first, 4), (second, 5)):
        back = restore_backup(path, tmp_path / path.name, AT)
        assert asked(back.folder, "SELECT COUNT(*) FROM item") == [(items,)]
        assert (back.folder / "photos/Q-00001/1.jpg").read_bytes() == PHOTO


def test_a_list_and_its_packs_are_read_by_plain_python(shop):
    """hashlib and zlib alone: zlib's format is RFC 1950, the digest FIPS 180-4."""
    path = daily(*shop)
    said, pieces, seal, _ = path.read_bytes().split(b"\n")
    assert hashlib.sha256(said + b"\n" + pieces + b"\n").hexdigest().encode() == seal
    (pack,) = packs(path.parent)
    raw, found = pack.read_bytes(), {}
    while raw[:1] == b"\x78":
        reading = zlib.decompressobj()
        piece = reading.decompress(raw)
        found[hashlib.sha256(piece).hexdigest()] = piece
        raw = reading.unused_data
    listing = read_listing(path)
    for name, seal_of in listing.manifest.files.items():
        whole = b"".join(found[one] for one in listing.pieces[name])
        assert hashlib.sha256(whole).hexdigest() == seal_of.sha256


def test_records_are_cut_where_their_pages_end(shop):
    """SQLite keeps the size of a page at byte 16 of its file (sqlite.org/fileformat.html)."""
    records = content(daily(*shop))[FILE_NAME]
    assert BLOCK % int.from_bytes(records[16:18], "big") == 0
    for module in Path("resale").rglob("*.py"):
        assert "VACUUM" not in module.read_text("utf-8"), "every page would move"


def test_rows_put_into_a_dump_leave_the_cuts_of_the_others(tmp_path):
    rng = random.Random(5)  # noqa: S311 - invented rows
    rows = [f"{n}\t{rng.random()}\tan invented row\n".encode() for n in range(60_000)]
    days = []
    for lines in (rows, [*rows[:20_000], b"one more\n", *rows[20_000:], b"and one\n"]):
        path = tmp_path / "dump"
        path.write_bytes(b"".join(lines))
        with path.open("rb") as file:
            days.append(list(cut(DUMP, file)))
        assert b"".join(days[-1]) == b"".join(lines)
    assert len(days[0]) > 10
    assert len(set(days[1]) - set(days[0])) <= 3


def test_a_copy_of_a_day_written_out_is_one_file_that_opens_elsewhere(shop, tmp_path):
    path = daily(*shop)
    whole = tmp_path / "carried.zip"
    write_whole(path, whole)
    with zipfile.ZipFile(whole) as archive:
        assert archive.testzip() is None
        assert "added" not in archive.read("copy.json").decode()
    assert content(whole) == content(path)
    back = restore_backup(whole, tmp_path / "new", AT)
    assert asked(back.folder, "SELECT COUNT(*) FROM item") == [(3,)]


def test_old_whole_copies_of_a_day_stay_listed_and_go_in_their_turn(shop):
    copies = shop[1].data_folder / "copies"
    newest = daily(*shop, day=1)
    older = copies / "copy-2026-06-29-120000-daily.zip"
    write_whole(newest, older)
    assert [one.path for one in backups_in(copies)] == [newest, older]
    assert all(one.manifest for one in backups_in(copies))
    assert let_go(copies, 1, YEAR) == [older]


def test_copies_that_lie_among_the_records_do_not_hold_each_other(shop):
    ledger, settings = shop
    for _ in range(2):
        made = make_backup(ledger.records, settings, settings.data_folder, AT, why="daily")
    assert not [name for name in made.manifest.files if "copy" in name]


# ---------------------------------------------------------------- harmed
def test_one_harmed_piece_is_said_with_the_copies_that_it_hits_and_mended_by_the_next(shop):
    ledger, _ = shop
    first = daily(*shop)
    ledger.item()
    second = daily(*shop, day=1)
    copies = first.parent
    # The photo is the last piece but what is small; harm the middle of its bytes.
    pack = packs(copies)[0]
    turned(pack, pack.read_bytes().index(PHOTO[:400]) + 200)
    for path, other in ((first, second), (second, first)):
        with pytest.raises(CopyError) as caught:
            check_archive(path)
        said = caught.value.sentence
        assert "a piece of photos/Q-00001/1.jpg" in said and f"in {other.name} too" in said
        assert "take another copy" in said
    third = daily(*shop, day=2)
    for path in (first, second, third):
        check_archive(path)
    let_go_of_pieces(copies)
    for path in (first, second, third):
        check_archive(path)


@pytest.mark.parametrize("place", [0.05, 0.99])
def test_a_list_with_one_bit_turned_is_refused_and_nothing_is_tidied_meanwhile(shop, place):
    ledger, _ = shop
    first = daily(*shop)
    shutil.copy(first, first.with_name("kept"))
    turned(first, int(first.stat().st_size * place))
    with pytest.raises(CopyError):
        check_archive(first)
    ledger.item()
    daily(*shop, day=1)
    let_go(first.parent, 1, YEAR)
    shutil.copy(first.with_name("kept"), first)
    check_archive(first)


def test_a_list_carried_away_without_its_pieces_is_told_so(shop, tmp_path):
    carried = shutil.copy(daily(*shop), tmp_path)
    with pytest.raises(CopyError, match=r"copy-pieces with the pieces .* does not lie beside it"):
        restore_backup(Path(carried), tmp_path / "new", AT)


def test_a_pack_that_lost_its_end_has_pieces_that_are_missing(shop):
    path = daily(*shop)
    (pack,) = packs(path.parent)
    pack.write_bytes(pack.read_bytes()[:-40])
    with pytest.raises(CopyError, match=r"a piece of records\.db is missing"):
        check_archive(path)
    check_archive(daily(*shop, day=1))
    check_archive(path)


def test_a_piece_that_would_unpack_to_more_than_any_has_is_none(tmp_path):
    with PieceStore(tmp_path) as store:
        store.folder.mkdir()
        content = bytes(9 << 20)
        digest = hashlib.sha256(content).hexdigest()
        store._new.add(digest, zlib.compress(content))
        store.name_what_is_new()
        with pytest.raises(HarmedPieceError):
            store.read(digest)


# ---------------------------------------------------------------- removed
def test_pieces_go_with_the_last_copy_that_names_them(shop):
    settings = shop[1]
    photo = settings.data_folder / "photos/Q-00001/1.jpg"
    copies = settings.data_folder / "copies"
    for day in range(4):
        # Noise of its own each day: two thirds of what a day adds.
        photo.write_bytes(noise(day, 100_000))
        daily(*shop, day=day)
    assert room_taken(copies) > 400_000
    let_go(copies, 1, YEAR)
    (left,) = backups_in(copies)
    check_archive(left.path)
    assert room_taken(copies) < 250_000


def test_a_copy_being_read_outlives_the_tidying_of_its_packs(shop):
    photo = shop[1].data_folder / "photos/Q-00001/1.jpg"
    photo.write_bytes(noise(1, 400_000))
    daily(*shop)
    photo.write_bytes(PHOTO)
    path = daily(*shop, day=1)
    with opened(path) as copy:
        before = packs(path.parent)
        let_go(path.parent, 1, YEAR)
        assert packs(path.parent) != before, "the first pack was mostly the large photo"
        assert b"".join(copy.parts("models/abc/manifest.json")) == b"{}"


def test_who_tidies_waits_for_who_makes(shop):
    path = daily(*shop)
    done = threading.Event()

    def tidies():
        let_go(path.parent, 1, YEAR)
        done.set()

    with turn(path.parent, "pieces"):
        waiting = threading.Thread(target=tidies)
        waiting.start()
        assert not done.wait(0.3)
        busy = pytest.raises(CopyError, match="another program is making a copy here")
        with busy, turn(path.parent, "pieces", patience=0.1):
            pass
    waiting.join()
    assert done.is_set()


# ---------------------------------------------------------------- any series, any kill
TOUCHES = {"open", "os.rename", "os.remove", "os.mkdir", "os.rmdir"}
KILLED = 9


def _killed_at(touch):
    """Die before the disk is touched for so many a time (docs.python.org: audit events)."""

    def hook(event, words):
        nonlocal touch
        if event in TOUCHES and (event != "open" or set(str(words[1])) & set("wax+")):
            touch -= 1
            if touch < 0:
                os._exit(KILLED)

    sys.addaudithook(hook)


def _in_a_process_that_may_die(work, touch):
    child = os.fork()
    if not child:
        try:
            if touch is not None:
                _killed_at(touch)
            work()
            os._exit(0)
        except BaseException:
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _series(place, seed, steps):
    """Random changes, copies, removals and kills; how many of each came."""
    rng = random.Random(seed)  # noqa: S311 - an invented series
    shop, settings = small_shop(place)
    copies, days, came = place / "copies", {}, {"made": 0, "killed": 0, "gone": 0}
    photo = place / "photos/Q-00001/1.jpg"
    for step in range(steps):
        for _ in range(rng.randrange(3)):
            number = shop.item()
            shop.happens(number, "put_out", "02-01", rng.randrange(500, 5000))
        if rng.random() < 0.5:
            photo.write_bytes(rng.randbytes(rng.choice([10, 5000, 40_000])))
        at, keep = AT + timedelta(days=step), rng.randrange(1, 4)
        shop.records.dispose()
        now = asked(place, "SELECT * FROM item"), asked(place, "SELECT * FROM event")

        def work(at=at, keep=keep):
            records = open_records(place)
            make_backup(records, settings, copies, at, why="daily")
            let_go(copies, keep, YEAR)

        before = {one.path.name for one in backups_in(copies)}
        # A run touches the disk some twenty to fifty times.
        touch = rng.choice([None, rng.randrange(20), rng.randrange(45)])
        code = _in_a_process_that_may_die(work, touch)
        assert code in {0, KILLED}
        after = {one.path.name: one for one in backups_in(copies)}
        came["killed"] += code == KILLED
        came["gone"] += len(before - set(after))
        for name in set(after) - before:
            days[name] = (*now, photo.read_bytes())
            came["made"] += 1
        for name, one in after.items():
            assert one.manifest is not None, one.trouble
            held = content(one.path)
            check_archive(one.path)
            assert _rows(held[FILE_NAME], place) == days[name][:2]
            assert held["photos/Q-00001/1.jpg"] == days[name][2]
    # In the end a run without a kill leaves nothing that nobody names.
    last = make_backup(shop.records, settings, copies, YEAR, why="daily")
    let_go(copies, 1, YEAR)
    assert [one.path for one in backups_in(copies)] == [last.path]
    names = {path.name for path in copies.rglob("*") if path.is_file()}
    assert not [name for name in names if name.endswith(".draft")]
    live = sum(len(zlib.compress(one)) for one in set(_pieces(last.path)))
    assert room_taken(copies) < 3 * live + 20_000
    shop.records.dispose()
    return came


def _pieces(path):
    with PieceStore(path.parent) as store:
        for digests in read_listing(path).pieces.values():
            yield from map(store.read, digests)


def _rows(records, place):
    path = place / "out.part"
    path.write_bytes(records)
    with closing(sqlite3.connect(path)) as one:
        items, events = one.execute("SELECT * FROM item"), one.execute("SELECT * FROM event")
        said = items.fetchall(), events.fetchall()
    path.unlink()
    return said


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine begins programs otherwise")
def test_tidying_that_is_killed_at_any_touch_leaves_the_copies_that_stay_whole(shop, tmp_path):
    """The first pack is mostly a photo that goes, so what stays is carried into a new one."""
    photo = shop[1].data_folder / "photos/Q-00001/1.jpg"
    photo.write_bytes(noise(1, 400_000))
    daily(*shop)
    photo.write_bytes(PHOTO)
    name = daily(*shop, day=1).name
    for touch in range(30):
        copies = tmp_path / f"killed at {touch}"
        shutil.copytree(shop[1].data_folder / "copies", copies)
        code = _in_a_process_that_may_die(lambda there=copies: let_go(there, 1, YEAR), touch)
        check_archive(copies / name)
        if not code:
            break
    assert not code and touch > 5, "the last one ran to its end"
    assert room_taken(copies) < 300_000 and len(backups_in(copies)) == 1


@pytest.mark.long
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine begins programs otherwise")
def test_after_any_series_with_kills_each_copy_is_the_shop_of_its_day(tmp_path):
    came = _series(tmp_path / "shop", seed=1, steps=10)
    assert came["made"] > 2 and came["killed"] > 1 and came["gone"] > 0, came


@pytest.mark.long
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine begins programs otherwise")
@pytest.mark.parametrize("seed", range(2, 22))
def test_after_many_series_with_kills_each_copy_is_the_shop_of_its_day(tmp_path, seed):
    came = _series(tmp_path / "shop", seed, steps=30)
    assert came["made"] > 5 and came["killed"] > 5, came
