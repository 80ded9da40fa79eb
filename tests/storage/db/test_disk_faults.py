"""A full disk, one for reading only and one that fails: told apart, and nothing lost.

The disks are real where this machine lets a test mount one; else SQLite itself is told that its
file may not grow or be written (https://www.sqlite.org/pragma.html#pragma_max_page_count).
"""

from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from kept_shop import AT, asked, small_shop
from ledger_shop import LedgerShop
from sqlalchemy import event
from sqlalchemy.exc import OperationalError

from resale.errors import ResaleError
from resale.storage.backup.make import make_backup
from resale.storage.db.database import FILE_NAME
from resale.storage.db.disk_faults import (
    DiskError,
    DiskFullError,
    ReadOnlyDiskError,
    disk_fault,
    disk_faults_said,
)

ROOT = Path(__file__).parents[3]


def told_to(records, order):
    """Give every connection of these records an order of SQLite's own."""
    records.dispose()
    event.listen(records, "connect", lambda raw, _: raw.execute(order))


@pytest.mark.parametrize(
    ("order", "kind", "sentence"),
    [
        ("PRAGMA max_page_count = 1", DiskFullError, "the disk is full"),
        ("PRAGMA query_only = ON", ReadOnlyDiskError, "the disk or the folder may only be read"),
    ],
)
def test_a_write_that_the_disk_refuses_is_taken_back_whole(tmp_path, order, kind, sentence):
    shop = LedgerShop(tmp_path)
    shop.item()
    told_to(shop.records, order)
    with pytest.raises(OperationalError) as caught:
        # One row may still fit into the pages there are; many do not.
        for _ in range(200):
            shop.item()
    said = disk_fault(caught.value)
    assert type(said) is kind and said.sentence.startswith(sentence)
    assert "what was saved before is all there" in said.sentence
    shop.records.dispose()
    items, events = asked(tmp_path, "SELECT (SELECT COUNT(*) FROM item), COUNT(*) FROM event")[0]
    assert items == events >= 1
    assert asked(tmp_path, "PRAGMA integrity_check") == [("ok",)]


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        (errno.ENOSPC, DiskFullError),
        (errno.EDQUOT, DiskFullError),
        (errno.EROFS, ReadOnlyDiskError),
        (errno.EACCES, ReadOnlyDiskError),
        (errno.EIO, DiskError),
        (errno.ENOENT, None),
    ],
)
def test_faults_of_the_disk_are_known_by_their_numbers(code, kind):
    """POSIX's own names; the system gives each its words."""
    found = disk_fault(OSError(code, os.strerror(code), "photos/1.jpg"))
    assert (type(found) if found else None) is kind
    assert found is None or found.sentence.startswith("photos/1.jpg: ")


def test_the_disk_is_found_behind_a_sentence_of_ours():
    try:
        try:
            raise OSError(errno.ENOSPC, "No space left on device")
        except OSError:
            raise ResaleError("the model cannot be kept") from None
    except ResaleError as fault:
        assert isinstance(disk_fault(fault), DiskFullError)
    assert disk_fault(ValueError("no")) is None
    with pytest.raises(ValueError, match="no"), disk_faults_said():
        raise ValueError("no")


def test_records_that_somebody_holds_on_to_are_told(tmp_path):
    shop = LedgerShop(tmp_path)
    other = sqlite3.connect(tmp_path / FILE_NAME, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    told_to(shop.records, "PRAGMA busy_timeout = 1")
    with pytest.raises(OperationalError) as caught:
        shop.item()
    other.close()
    said = disk_fault(caught.value)
    assert said is not None and said.sentence.startswith("another program holds the records")
    assert shop.item() == "Q-00001"


# ---------------------------------------------------------------- real disks
@pytest.fixture(scope="module")
def mounts():
    """The way to a shell that may mount a disk of its own, gone when the shell is."""
    for words in (["unshare", "--mount", "sh", "-c"], ["unshare", "-rm", "sh", "-c"]):
        if shutil.which("unshare") is None:
            break
        attempt = [*words, "mount -t tmpfs -o size=64k none /mnt"]
        if subprocess.run(attempt, capture_output=True, check=False).returncode == 0:
            return words
    pytest.skip("this machine lets no test mount a disk")


COMMANDS = """
import json, sys
from click.testing import CliRunner
from resale.cli.main import commands
for words in json.loads(sys.argv[1]):
    ran = CliRunner().invoke(commands, words)
    print(json.dumps([ran.exit_code, ran.stderr]))
"""


def on_a_disk(mounts, place, prepare, *commands):
    """Run commands that see a disk of three megabytes at a place; give what each said."""
    place.mkdir(exist_ok=True)
    script = f"""
        cd "{place.parent}" && mount -t tmpfs -o size=3m none "{place}"
        cp -r made/. disk && {prepare}
        "{sys.executable}" -c "$COMMANDS" "$WORDS"
    """
    more = {"COMMANDS": COMMANDS, "WORDS": json.dumps(commands), "PYTHONPATH": str(ROOT)}
    ran = subprocess.run(
        [*mounts, script],
        env={**os.environ, **more, "RESALE_DATA_FOLDER": str(place)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert ran.returncode == 0, ran.stderr
    return [json.loads(line) for line in ran.stdout.splitlines()]


@pytest.fixture
def made(tmp_path):
    """A shop and a copy of it, to be put on a disk."""
    shop, settings = small_shop(tmp_path / "made")
    copy = make_backup(shop.records, settings, tmp_path / "stick", AT)
    shop.records.dispose()
    return copy.path


def test_a_full_disk_is_one_sentence_and_leaves_no_half_copy(mounts, made, tmp_path):
    big = "dd if=/dev/urandom of=disk/photos/big.jpg bs=1k count=2200 2>/dev/null"
    said = on_a_disk(
        mounts,
        tmp_path / "disk",
        f"{big} && mkdir disk/copies && dd if=/dev/zero of=disk/rest bs=1k 2>/dev/null; true",
        ["keep", "--to", "disk/copies"],
        ["bring-back", str(made), "--folder", "disk/new"],
        # Its own room is all that was ever taken.
        ["bring-back", str(made), "--folder", "elsewhere"],
    )
    for code, sentences in said[:2]:
        assert code == 2
        *_, last = sentences.splitlines()
        assert "the disk is full, so this was not written" in last
    assert said[2] == [0, ""]
    assert asked(tmp_path / "elsewhere", "PRAGMA integrity_check") == [("ok",)]


@pytest.mark.long
def test_a_disk_for_reading_only_is_one_sentence_and_exit_code_two(mounts, made, tmp_path):
    said = on_a_disk(
        mounts,
        tmp_path / "disk",
        "mount -o remount,ro disk",
        ["keep", "--to", "disk"],
        ["open", "--port", "0", "--no-browser"],
        ["bring-back", str(made), "--folder", "disk/new"],
    )
    for code, sentences in said:
        assert code == 2
        assert sentences.count("\n") == 1
        assert "the disk or the folder may only be read" in sentences
