"""Tests that are not about the doors are signed in as the owner."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask
from signed_in import OwnerClient

from resale.web import create_app

MEMORY, ROOM = Path("/dev/shm"), 4_000_000_000  # noqa: S108 - pytest makes a folder of its own there
if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    # Records are written through to the disk; in memory, where there is room, that costs no time.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))


@pytest.fixture(scope="session", autouse=True)
def _signed_in() -> None:
    Flask.test_client_class = OwnerClient


@pytest.fixture(scope="session")
def copy_of_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path], Path]:
    """Lay the invented shop into a folder: to fill it takes seconds, a copy none."""
    filled = tmp_path_factory.mktemp("demo") / "filled"
    create_app(filled, demo=True).extensions["resale"].records.dispose()

    def copied(place: Path) -> Path:
        return Path(shutil.copytree(filled, place, dirs_exist_ok=True))

    return copied
