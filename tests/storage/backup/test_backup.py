"""A copy of a shop: made while it is open, read back whole, brought back anywhere."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import subprocess
import threading
import zipfile
from contextlib import closing
from datetime import timedelta

import pytest
from alembic import command
from kept_shop import AT, PHOTO, asked, small_shop
from migrating import go

from resale.config.settings import Settings
from resale.storage.backup.catalogue import backups_in, copy_named, is_due, let_go
from resale.storage.backup.make import make_backup
from resale.storage.backup.manifest import (
    MANIFEST,
    NEWEST_FORMAT,
    CopyError,
    NoSuchCopyError,
    stays_inside,
)
from resale.storage.backup.restore import restore_backup
from resale.storage.backup.verify import check_archive
from resale.storage.db.database import FILE_NAME, engine_of, migration_config


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """The bytes of a copy that nobody touched."""
    shop, settings = small_shop(tmp_path_factory.mktemp("whole") / "shop")
    copy = kept(shop, settings)
    shop.records.dispose()
    return copy.path.name, copy.path.read_bytes()


@pytest.fixture
def copy(whole, tmp_path):
    """A copy to do harm to."""
    name, content = whole
    path = tmp_path / "copies" / name
    path.parent.mkdir()
    path.write_bytes(content)
    return path


@pytest.fixture
def shop(tmp_path):
    shop, settings = small_shop(tmp_path / "shop")
    yield shop, settings
    shop.records.dispose()


def kept(shop, settings, **more):
    return make_backup(shop.records, settings, settings.data_folder / "copies", AT, **more)


def rewritten(path, change):
    """Write a copy again with some of its files changed, as a zip without a fault of its own."""
    with zipfile.ZipFile(path) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    change(files)
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def said_of(files, /, **changes):
    plain = json.loads(files[MANIFEST])
    plain.update(changes)
    files[MANIFEST] = json.dumps(plain).encode()


# ---------------------------------------------------------------- what is in it
def test_a_copy_holds_all_that_is_the_shops_and_nothing_else(shop):
    copy = kept(*shop)
    with zipfile.ZipFile(copy.path) as archive:
        names = set(archive.namelist())
    assert names == {
        MANIFEST,
        FILE_NAME,
        "shop.toml",
        "rule_changes.toml",
        "photos/Q-00001/1.jpg",
        "models/abc/manifest.json",
        "books/f.json",
    }
    assert {path.name for path in copy.path.parent.iterdir()} == {copy.path.name}


def test_the_next_copy_does_not_hold_the_one_before(shop):
    first = kept(*shop)
    second = kept(*shop)
    assert first.path != second.path
    assert set(first.manifest.files) == set(second.manifest.files)


def test_totals_are_those_of_plain_sqlite(shop):
    manifest = kept(*shop).manifest
    folder = shop[1].data_folder
    assert manifest.sold == {"EUR": 2240}
    counted = {
        "item": "SELECT COUNT(*) FROM item",
        "event": "SELECT COUNT(*) FROM event",
        "valuation": "SELECT COUNT(*) FROM valuation",
    }
    for table, query in counted.items():
        assert asked(folder, query) == [(manifest.counts[table],)]
    assert asked(folder, "SELECT version_num FROM alembic_version") == [(manifest.revision,)]


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_digests_are_those_of_sha256sum(shop, tmp_path):
    """Against GNU coreutils' sha256sum over the files unpacked by Python's own zipfile."""
    copy = kept(*shop)
    with zipfile.ZipFile(copy.path) as archive:
        archive.extractall(tmp_path / "out")
    names = sorted(copy.manifest.files)
    ran = subprocess.run(
        ["sha256sum", *names], cwd=tmp_path / "out", capture_output=True, text=True, check=True
    )
    lines = [line.split(maxsplit=1) for line in ran.stdout.splitlines()]
    assert [(name, digest) for digest, name in lines] == [
        (name, copy.manifest.files[name].sha256) for name in names
    ]


def test_a_linked_folder_of_photographs_is_part_of_the_shop(shop, tmp_path):
    other = tmp_path / "other-disk"
    other.mkdir()
    (other / "2.jpg").write_bytes(PHOTO)
    link = shop[1].data_folder / "photos" / "more"
    try:
        link.symlink_to(other, target_is_directory=True)
    except OSError:
        pytest.skip("links cannot be made here")
    # A link that leads back up must not be walked for ever.
    (other / "round").symlink_to(shop[1].data_folder, target_is_directory=True)
    assert "photos/more/2.jpg" in kept(*shop).manifest.files


def test_a_copy_made_while_items_are_saved_is_the_shop_at_one_moment(shop):
    """Each step adds an item and its event together: no copy may hold one without the other."""
    ledger, settings = shop
    begun, enough = threading.Event(), threading.Event()

    def go_on_saving():
        while not enough.is_set():
            ledger.item()
            begun.set()

    saving = threading.Thread(target=go_on_saving)
    saving.start()
    try:
        begun.wait()
        copies = [kept(ledger, settings) for _ in range(5)]
    finally:
        enough.set()
        saving.join()
    counts = [copy.manifest.counts for copy in copies]
    # Two items were put out and sold, one only put out: five events more than items.
    assert all(one["event"] == one["item"] + 5 for one in counts)
    assert counts[-1]["item"] > counts[0]["item"]


def test_a_name_that_no_other_machine_could_write_is_told(shop):
    (shop[1].data_folder / "photos" / "a:b.jpg").write_bytes(PHOTO)
    with pytest.raises(CopyError, match=r"a name that cannot be carried .* give it a name"):
        kept(*shop)
    assert backups_in(shop[1].data_folder / "copies") == ()


def test_damaged_records_are_not_kept_as_if_they_were_good(shop):
    ledger, settings = shop
    with closing(sqlite3.connect(settings.data_folder / FILE_NAME)) as plain:
        plain.execute("PRAGMA foreign_keys = OFF")
        row = "(item_id, consignor_id, made_at) VALUES (999, 999, '2026-01-01')"
        plain.execute("INSERT INTO brought " + row)
        plain.commit()
    with pytest.raises(CopyError, match=r"the records are damaged .a row of brought points to"):
        kept(ledger, settings)


# ---------------------------------------------------------------- brought back
def test_a_copy_opens_in_another_folder_with_the_same_rows(shop, tmp_path):
    ledger, settings = shop
    copy = kept(ledger, settings)
    back = restore_backup(copy.path, tmp_path / "second" / "machine", AT)
    assert back.set_aside is None
    for query in ("SELECT * FROM item", "SELECT * FROM event", "SELECT * FROM sqlite_sequence"):
        assert asked(back.folder, query) == asked(settings.data_folder, query)
    assert asked(back.folder, "PRAGMA integrity_check") == [("ok",)]
    assert asked(back.folder, "PRAGMA foreign_key_check") == []
    assert (back.folder / "photos/Q-00001/1.jpg").read_bytes() == PHOTO
    assert list(back.folder.parent.iterdir()) == [back.folder]


def test_the_shop_that_stood_there_is_set_aside_whole(shop):
    ledger, settings = shop
    copy = kept(ledger, settings)
    assert ledger.item() == "Q-00004"
    ledger.records.dispose()
    back = restore_backup(copy.path, settings.data_folder, AT)
    assert back.set_aside.name == "shop-set-aside-2026-06-30-120000"
    wanted = "SELECT COUNT(*) FROM item WHERE number = 'Q-00004'"
    assert asked(back.set_aside, wanted) == [(1,)]
    assert asked(back.folder, wanted) == [(0,)]
    assert (back.set_aside / "session.key").read_bytes() == b"secret"
    # The copies lie where they lay, so that another can be brought back.
    assert copy.path.is_file()
    again = restore_backup(copy.path, settings.data_folder, AT)
    assert again.set_aside.name == "shop-set-aside-2026-06-30-120000-2"


def test_a_shop_that_is_open_is_not_replaced(shop):
    ledger, settings = shop
    copy = kept(ledger, settings)
    with pytest.raises(CopyError, match=r"the shop is open, and nothing .* close it where it runs"):
        restore_backup(copy.path, settings.data_folder, AT)
    assert ledger.item() == "Q-00004"


def test_records_damaged_beyond_opening_are_replaced_all_the_same(shop):
    ledger, settings = shop
    copy = kept(ledger, settings)
    ledger.records.dispose()
    (settings.data_folder / FILE_NAME).write_bytes(b"spilled coffee " * 999)
    back = restore_backup(copy.path, settings.data_folder, AT)
    assert asked(back.folder, "SELECT COUNT(*) FROM item") == [(3,)]
    assert (back.set_aside / FILE_NAME).read_bytes().startswith(b"spilled coffee")


def test_an_empty_folder_that_is_there_already_is_filled(shop, tmp_path):
    place = tmp_path / "new"
    place.mkdir()
    assert restore_backup(kept(*shop).path, place, AT).set_aside is None
    assert asked(place, "SELECT COUNT(*) FROM item") == [(3,)]


def test_a_link_to_a_shop_on_another_disk_stays_a_link(copy, tmp_path):
    (tmp_path / "disk" / "shop").mkdir(parents=True)
    (tmp_path / "disk" / "shop" / "mine.txt").write_text("mine")
    link = tmp_path / "link"
    try:
        link.symlink_to(tmp_path / "disk" / "shop", target_is_directory=True)
    except OSError:
        pytest.skip("links cannot be made here")
    back = restore_backup(copy, link, AT)
    assert link.is_symlink() and asked(link, "SELECT COUNT(*) FROM item") == [(3,)]
    assert back.set_aside.parent == back.folder.parent
    assert (back.set_aside / "mine.txt").read_text() == "mine"


def test_records_of_an_earlier_version_are_brought_up_to_date(tmp_path):
    folder = tmp_path / "old"
    folder.mkdir()
    engine = engine_of(folder / FILE_NAME)
    go(engine, command.upgrade, "0001")
    with engine.execution_options(writes=True).begin() as one:
        one.exec_driver_sql(
            "INSERT INTO item VALUES (7, 'Q-00007', 'k', 'shirt', '', 'M', '', '2026-03-01 12:00')"
        )
    copy = make_backup(engine, Settings(data_folder=folder), tmp_path / "copies", AT)
    engine.dispose()
    assert copy.manifest.revision == "0001"
    back = restore_backup(copy.path, tmp_path / "new", AT)
    assert asked(back.folder, "SELECT number FROM item") == [("Q-00007",)]
    (head,) = asked(back.folder, "SELECT version_num FROM alembic_version")[0]
    assert head > "0001"


# ---------------------------------------------------------------- what is refused
def _other_photo(files):
    files["photos/Q-00001/1.jpg"] = PHOTO.replace(b"real", b"fake")


def _longer_photo(files):
    files["photos/Q-00001/1.jpg"] += b"more"


def _no_photo(files):
    del files["photos/Q-00001/1.jpg"]


def _more(files):
    files["../../evil.py"] = b""


def _no_manifest(files):
    del files[MANIFEST]


def _other_sum(files):
    said_of(files, sold={"EUR": 2241})


def _other_count(files):
    plain = json.loads(files[MANIFEST])
    said_of(files, counts={**plain["counts"], "item": 4})


def _leads_out(files):
    files["../../evil.py"] = b""
    plain = json.loads(files[MANIFEST])
    seal = {"sha256": hashlib.sha256(b"").hexdigest(), "size": 0}
    said_of(files, files={**plain["files"], "../../evil.py": seal})


def _other_records(files):
    """Records without their last page, and a seal to match."""
    files[FILE_NAME] = files[FILE_NAME][:-4096]
    plain = json.loads(files[MANIFEST])
    seal = {"sha256": hashlib.sha256(files[FILE_NAME]).hexdigest(), "size": len(files[FILE_NAME])}
    said_of(files, files={**plain["files"], FILE_NAME: seal})


def _not_json(files):
    files[MANIFEST] = b"{"


def _later_format(files):
    said_of(files, format=NEWEST_FORMAT + 1, program="resale 9.0", something="new")


def _later_tables(files):
    said_of(files, revision="9999", program="resale 9.0")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (_other_photo, "altered or damaged (photos/Q-00001/1.jpg is not what it was)"),
        (_longer_photo, "altered or damaged (photos/Q-00001/1.jpg is longer than it was)"),
        (_no_photo, "altered or damaged (photos/Q-00001/1.jpg is missing)"),
        (_more, "altered or damaged (../../evil.py does not belong in it)"),
        (_leads_out, "altered or damaged (what it says of files.../../evil.py"),
        (_no_manifest, "this is no copy of a shop; pick one that 'resale keep' made"),
        (_other_sum, "altered or damaged (what was sold adds up to another sum)"),
        (_other_count, "altered or damaged (item: 3 rows, not 4)"),
        (_other_records, "altered or damaged (the records "),
        (_not_json, "altered or damaged (what it says of itself cannot be so)"),
        (_later_format, "made by a later version (resale 9.0), and is not used; bring the program"),
        (_later_tables, "made by a later version (resale 9.0, tables 9999)"),
    ],
)
def test_an_altered_or_newer_copy_is_refused_and_nothing_is_touched(
    copy, tmp_path, change, sentence
):
    rewritten(copy, change)
    place = tmp_path / "place"
    place.mkdir()
    (place / "mine.txt").write_text("mine")
    for refuse in (lambda: restore_backup(copy, place, AT), lambda: check_archive(copy)):
        with pytest.raises(CopyError) as caught:
            refuse()
        assert sentence in caught.value.sentence
        assert caught.value.sentence.count("\n") == 0
    assert {path.name for path in tmp_path.iterdir()} == {"copies", "place"}
    assert [path.name for path in place.iterdir()] == ["mine.txt"]
    assert {path.name for path in copy.parent.iterdir()} == {copy.name}


@pytest.mark.parametrize("place", [0.02, 0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("harm", ["cut", "bit"])
def test_a_copy_cut_short_or_with_one_bit_turned_is_refused(copy, tmp_path, harm, place):
    content = bytearray(copy.read_bytes())
    at = int(len(content) * place)
    if harm == "cut":
        del content[at:]
    else:
        content[at] ^= 1
    copy.write_bytes(content)
    try:
        back = restore_backup(copy, tmp_path / "new", AT)
    except CopyError:
        assert not (tmp_path / "new").exists()
    else:
        # A zip says some things twice and some that nobody asks; then all has to be right.
        assert harm == "bit"
        assert asked(back.folder, "SELECT COUNT(*) FROM item") == [(3,)]
        assert (back.folder / "photos/Q-00001/1.jpg").read_bytes() == PHOTO


@pytest.mark.parametrize(
    ("name", "inside"),
    [
        ("photos/1.jpg", True),
        ("/etc/passwd", False),
        ("a/../../b", False),
        ("a//b", False),
        ("./a", False),
        ("C:/b", False),
        ("..\\b", False),
        ("a\nb", False),
    ],
)
def test_names_that_lead_out_of_a_folder_are_known(name, inside):
    assert stays_inside(name) is inside


# ---------------------------------------------------------------- days
def test_daily_copies_go_but_the_newest_and_those_by_hand_stay(shop):
    ledger, settings = shop
    place = settings.data_folder / "copies"
    by_hand = kept(ledger, settings).path
    daily = [
        make_backup(ledger.records, settings, place, AT + timedelta(days=day), why="daily").path
        for day in range(5)
    ]
    # One that cannot be read takes nobody's place.
    daily[4].write_bytes(b"half")
    assert set(let_go(place, 2, AT + timedelta(days=30))) == {daily[0], daily[1]}
    assert {one.path for one in backups_in(place)} == {by_hand, *daily[2:]}
    assert let_go(place, 2, AT + timedelta(days=30)) == []


def test_a_copy_is_due_when_the_hour_has_struck_since_the_last(shop):
    ledger, settings = shop
    place = settings.data_folder / "copies"
    assert is_due((), 13, AT)
    kept(ledger, settings)
    assert is_due(backups_in(place), 13, AT), "one by hand is no daily one"
    make_backup(ledger.records, settings, place, AT, why="daily")
    copies = backups_in(place)
    assert not is_due(copies, 13, AT + timedelta(minutes=59))
    assert is_due(copies, 13, AT + timedelta(hours=1))
    assert not is_due(copies, 12, AT + timedelta(hours=23, minutes=59))
    assert is_due(copies, 12, AT + timedelta(hours=24))


def test_what_lies_between_copies_is_left_alone(shop):
    place = shop[1].data_folder / "copies"
    copy = kept(*shop).path
    (place / "notes.txt").write_text("mine")
    assert [one.path for one in backups_in(place)] == [copy]
    assert copy_named(place, copy.name) == copy
    for name in ("notes.txt", "../shop.toml", "copy-2026-01-01-000000-daily.zip"):
        with pytest.raises(NoSuchCopyError):
            copy_named(place, name)


def test_the_tables_of_a_copy_are_those_that_the_program_knows(shop):
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    head = ScriptDirectory.from_config(migration_config()).get_current_head()
    assert kept(*shop).manifest.revision == head
