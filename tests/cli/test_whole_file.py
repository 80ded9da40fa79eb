"""A file that a command writes gets its name once it is whole."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from resale.cli.console import whole, written
from resale.errors import ItemFileError
from resale.whole_file import ABANDONED, DRAFT, whole_file


def test_what_stood_there_stays_until_the_new_file_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "priced.csv"
    path.write_text("as it was")
    with pytest.raises(RuntimeError), written(path) as stream:
        stream.write("half of")
        stream.flush()
        raise RuntimeError
    assert path.read_text() == "as it was" and list(tmp_path.iterdir()) == [path]
    with written(path) as stream:
        stream.write("all of it")
        stream.flush()
        assert path.read_text() == "as it was"
    assert path.read_text("utf-8-sig") == "all of it" and list(tmp_path.iterdir()) == [path]


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    with (
        pytest.raises(ItemFileError, match="name another place"),
        whole(tmp_path / "no" / "x") as to,
    ):
        to.write_bytes(b"x")


def test_a_file_behind_another_name_is_written_where_it_lies(tmp_path: Path) -> None:
    real, name = tmp_path / "real.csv", tmp_path / "name.csv"
    real.write_text("before")
    name.symlink_to(real)
    with whole(name) as draft:
        draft.write_text("after")
    assert name.is_symlink() and real.read_text() == "after"


def test_what_a_killed_program_left_goes_with_the_next_file_and_what_is_being_written_stays(
    tmp_path: Path,
) -> None:
    left, written_now = (tmp_path / f".{name}.7{DRAFT}" for name in ("left.npz", "now.npz"))
    for draft in (left, written_now):
        draft.write_bytes(b"half")
    long_ago = time.time() - ABANDONED - 1
    os.utime(left, (long_ago, long_ago))
    mine = tmp_path / f"mine{DRAFT}"
    mine.write_bytes(b"no draft of ours")
    os.utime(mine, (long_ago, long_ago))
    with whole_file(tmp_path / "prices.npz") as draft:
        draft.write_bytes(b"whole")
    assert sorted(tmp_path.iterdir()) == sorted((written_now, mine, tmp_path / "prices.npz"))
