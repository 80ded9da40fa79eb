"""Tests that are not about the doors are signed in as the owner."""

from __future__ import annotations

import fcntl
import gc
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from argon2 import PasswordHasher
from compiled_once import compile_once
from flask import Flask
from hypothesis import settings
from signed_in import OwnerClient

from resale.storage.db.database import FILE_NAME, open_records
from resale.storage.people import passwords
from resale.web import create_app

MEMORY, ROOM = Path("/dev/shm"), 4_000_000_000  # noqa: S108 - pytest makes a folder of its own there
if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    # Records are written through to the disk; in memory, where there is room, that costs no time.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))

# A new shop is asked what ordinary things bring before anything is priced. Where a test is not
# about that, its owner has said that the book's opening prices hold.
os.environ.setdefault("RESALE_OPENING_PRICES_HOLD", "true")

# Everyday the same examples: what is red was broken by a change. Others with the long tests.
settings.register_profile("everyday", derandomize=True, deadline=None)
settings.register_profile("anew", deadline=None)


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("anew" if config.getoption("markexpr") == "long" else "everyday")


def pytest_collection_finish() -> None:
    """Look no more at what will stay: modules, templates and tests are most of all objects."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes long: a screen left for the end keeps one worker waiting for the other.

    Each file still runs in its own order.
    """
    items.sort(key=lambda item: item.get_closest_marker("screen") is None)


@pytest.fixture(scope="session", autouse=True)
def _signed_in() -> None:
    Flask.test_client_class = OwnerClient


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        compile_once(patch)
        yield


@pytest.fixture(autouse=True)
def _light_passwords(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let passwords cost little where a test is not about what they cost."""
    if request.path.name != "test_people.py":
        light = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        monkeypatch.setattr(passwords, "_HASHER", light)
        monkeypatch.setattr(passwords, "_NOBODY", light.hash("nobody has this password"))


@pytest.fixture(scope="session")
def empty_records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of records with every step taken and no row, to begin from: a copy costs no steps."""
    folder = tmp_path_factory.mktemp("empty")
    open_records(folder).dispose()
    return folder / FILE_NAME


@pytest.fixture(scope="session")
def copy_of_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path], Path]:
    """Lay the invented shop into a folder: to fill it takes seconds, a copy none.

    Of several workers the first that needs it fills it for all.
    """
    own = tmp_path_factory.getbasetemp()
    shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
    filled = shared / "invented-shop"
    with (shared / "invented-shop.lock").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        if not filled.exists():
            begun = tmp_path_factory.mktemp("demo") / "begun"
            create_app(begun, demo=True).extensions["resale"].records.dispose()
            begun.rename(filled)

    def copied(place: Path) -> Path:
        return Path(shutil.copytree(filled, place, dirs_exist_ok=True))

    return copied
