"""Guesses are counted before they are looked at: however many come at once, so many and no more."""

from __future__ import annotations

import sqlite3
import threading
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest
from werkzeug.exceptions import TooManyRequests

from resale.storage.between.between_file import NAME
from resale.storage.between.counted import Limit
from resale.web.access import guesses as counting
from resale.web.access.guesses import Guesses

FEW = {"for somebody": Limit(6, 300)}


def test_of_many_guesses_at_once_only_so_many_are_looked_at(tmp_path: Path) -> None:
    seen, told = Guesses(tmp_path), Counter()
    together, looked = threading.Barrier(24), threading.Barrier(6)

    def guess() -> None:
        together.wait()
        try:
            with seen.guess(FEW):
                # None of those that have a place is done before all places are taken.
                looked.wait()
                told["looked at"] += 1
        except TooManyRequests as fault:
            told["too many"] += 1
            assert 0 < fault.retry_after <= 300

    threads = [threading.Thread(target=guess) for _ in range(24)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert told == Counter({"looked at": 6, "too many": 18})


def test_a_right_guess_gives_its_place_back(tmp_path: Path) -> None:
    seen = Guesses(tmp_path)
    for _ in range(20):
        with seen.guess(FEW) as guess:
            guess.right = True
    for _ in range(6):
        with seen.guess(FEW):
            pass
    with pytest.raises(TooManyRequests), seen.guess(FEW):
        pass


def test_a_place_is_free_again_by_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen, now = Guesses(tmp_path), [1000.0]
    monkeypatch.setattr(counting.time, "time", lambda: now[0])
    for _ in range(6):
        with seen.guess(FEW):
            pass
    with pytest.raises(TooManyRequests) as fault, seen.guess(FEW):
        pass
    assert fault.value.retry_after == 300
    now[0] += 300
    with seen.guess(FEW):
        pass


def test_a_clock_put_back_keeps_nobody_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen, now = Guesses(tmp_path), [100_000.0]
    monkeypatch.setattr(counting.time, "time", lambda: now[0])
    for _ in range(6):
        with seen.guess(FEW):
            pass
    now[0] -= 3600
    with seen.guess(FEW):
        pass


def test_names_that_nobody_guesses_at_any_more_take_no_room_and_no_name_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen, now = Guesses(tmp_path), [1000.0]
    monkeypatch.setattr(counting.time, "time", lambda: now[0])
    for name in range(50):
        now[0] += 100
        with seen.guess({f"for {name} Ottoline": Limit(6, 300)}):
            pass
    with closing(sqlite3.connect(tmp_path / NAME)) as file:
        assert file.execute("SELECT count(*) FROM guess").fetchone()[0] <= 3
    assert b"Ottoline" not in (tmp_path / NAME).read_bytes()


@pytest.mark.parametrize("harm", ["no folder", "spilled"])
def test_a_process_that_cannot_write_the_file_counts_alone(tmp_path: Path, harm: str) -> None:
    folder = tmp_path / "shop"
    if harm == "spilled":
        folder.mkdir()
        (folder / NAME).write_bytes(b"spilled coffee " * 999)
    seen = Guesses(folder)
    # A file that was harmed is away by the second guess; the first was counted in memory.
    for _ in range(6 if harm == "no folder" else 7):
        with seen.guess(FEW):
            pass
    with pytest.raises(TooManyRequests), seen.guess(FEW):
        pass
