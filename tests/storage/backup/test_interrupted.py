"""Bringing a copy back is killed between its two renames: the next start finds it and finishes.

POSIX, rename(): each rename is whole or not at all, and two of them are not one.
"""

from __future__ import annotations

import signal
from pathlib import Path

import nursery
import pytest
from kept_shop import AT, asked, small_shop
from running_shop import surroundings

from resale.config.change_of_places import note_of
from resale.config.settings import read_settings
from resale.storage.backup.make import make_backup

KILLED = """
import os, signal, sys
from datetime import UTC, datetime
from pathlib import Path
from resale.storage.backup import restore
left, whole = int(sys.argv[3]), restore._move
def move(folder, place):
    global left
    if not left:
        os.kill(os.getpid(), signal.SIGKILL)
    left -= 1
    whole(folder, place)
restore._move = move
restore.restore_backup(Path(sys.argv[1]), Path(sys.argv[2]), datetime(2026, 7, 1, tzinfo=UTC))
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this machine kills otherwise")
@pytest.mark.parametrize(("renames", "rows"), [(0, 4), (1, 3), (2, 3)])
def test_a_kill_between_two_renames_is_finished_at_the_next_start(
    tmp_path: Path, renames: int, rows: int
) -> None:
    """Killed before the first rename the shop stands as it was; after it, the copy is there."""
    shop, settings = small_shop(tmp_path / "shop")
    folder = settings.data_folder
    copy = make_backup(shop.records, settings, folder / "copies", AT)
    shop.item()
    shop.records.dispose()
    ran = nursery.run([str(copy.path), str(folder), str(renames)], surroundings(), code=KILLED)
    assert ran.returncode == -signal.SIGKILL
    assert note_of(folder).exists() == (renames < 2)
    read_settings(folder, environment={})
    assert asked(folder, "SELECT count(*) FROM item") == [(rows,)]
    assert (folder / "copies" / copy.path.name).is_file()
    assert not note_of(folder).exists()
    # What was set aside is there whole, and nothing half unpacked is left beside it.
    beside = [path.name for path in tmp_path.iterdir() if path != folder]
    assert len(beside) == (0 if not renames else 1), beside
