"""Tests that are not about the doors are signed in as the owner.

The program is loaded where it is used: pytest reads this file before it starts its workers, and
nothing of the program before a test is collected.
"""

# ruff: noqa: PLC0415

from __future__ import annotations

import gc
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from examples import NAME, times

# What is loaded to collect the tests stays: to look for what might go takes a tenth of the time.
gc.disable()
# Some environments say that Python shall keep nothing that it compiled. Half of the time to collect
# the tests went into that, and a second of each command that they start in a process of its own.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# Two workers share two cores: threads of theirs beside would wait for one another most of the time.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

MEMORY, ROOM = Path("/dev/shm"), 4_000_000_000  # noqa: S108 - pytest makes a folder of its own there
if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    # Records are written through to the disk; in memory, where there is room, that costs no time.
    os.environ.setdefault("PYTEST_DEBUG_TEMPROOT", str(MEMORY))

# A new shop is asked what ordinary things bring before anything is priced. Where a test is not
# about that, its owner has said that the book's opening prices hold.
os.environ.setdefault("RESALE_OPENING_PRICES_HOLD", "true")


def pytest_configure(config: pytest.Config) -> None:
    """Draw everyday the same examples: what is red was broken by a change. Long tests draw anew."""
    if config.getoption("dist", default="no") != "no":
        # It hands the tests out, and runs none.
        return
    from hypothesis import settings

    # With more of them asked for, they are drawn anew: a run before a release.
    anew = config.getoption("markexpr") == "long" or NAME in os.environ
    settings.register_profile("everyday", derandomize=True, deadline=None, max_examples=25)
    settings.register_profile("anew", deadline=None, max_examples=max(times(40), 100))
    settings.load_profile("anew" if anew else "everyday")


def pytest_collection_finish() -> None:
    """Look no more at what will stay: modules, templates and tests are most of all objects."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000)
    gc.enable()


@pytest.hookimpl(wrapper=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Let what others go on with run wherever one of them does, and begin with what takes long.

    A screen left for the end keeps one worker waiting for the other. Each file still runs in its
    own order.
    """
    every = list(items)
    yield
    picked, files = set(items), {one.path for one in items}
    items[:] = [
        one
        for one in every
        if one in picked or (one.get_closest_marker("first") and one.path in files)
    ]
    items.sort(key=lambda item: item.get_closest_marker("screen") is None)


@pytest.fixture(scope="session", autouse=True)
def _signed_in() -> None:
    from flask import Flask
    from signed_in import OwnerClient

    Flask.test_client_class = OwnerClient


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    from compiled_once import compile_once

    with pytest.MonkeyPatch.context() as patch:
        compile_once(patch)
        yield


@pytest.fixture(scope="session", autouse=True)
def _light_passwords() -> Iterator[None]:
    """Let passwords cost little where a test is not about what they cost: `dear_passwords`."""
    from argon2 import PasswordHasher

    from resale.storage.people import passwords

    with pytest.MonkeyPatch.context() as patch:
        light = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        patch.setattr(passwords, "_HASHER", light)
        patch.setattr(passwords, "_NOBODY", light.hash("nobody has this password"))
        yield


@pytest.fixture
def dear_passwords(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let passwords cost what they cost in a shop."""
    from argon2 import PasswordHasher

    from resale.storage.people import passwords

    monkeypatch.setattr(passwords, "_HASHER", PasswordHasher())


@pytest.fixture(scope="session")
def empty_records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of records with every step taken and no row, to begin from: a copy costs no steps."""
    from resale.storage.db.database import FILE_NAME, open_records

    folder = tmp_path_factory.mktemp("empty")
    open_records(folder).dispose()
    return folder / FILE_NAME


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of this run have in common."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own


@pytest.fixture(scope="session", autouse=True)
def _invented_shop_begun(request: pytest.FixtureRequest, shared: Path) -> Iterator[None]:
    """Let a process fill the invented shop while other tests run, where some will need it."""
    needed = any(
        "copy_of_demo" in getattr(one, "fixturenames", ()) for one in request.session.items
    )
    if not needed or os.environ.get("PYTEST_XDIST_WORKER") != "gw0" or not hasattr(os, "fork"):
        yield
        return
    import invented_shop
    import nursery

    words = [str(Path(invented_shop.__file__).parent), str(shared)]
    child = nursery.start(words, os.environ, code=invented_shop.CODE, stdout=sys.__stderr__)
    yield
    child.kill()
    child.wait(timeout=60)


@pytest.fixture(scope="session")
def copy_of_demo(shared: Path) -> Callable[[Path], Path]:
    """Lay the invented shop into a folder."""
    from invented_shop import filled

    place = filled(shared)

    def copied(folder: Path) -> Path:
        return Path(shutil.copytree(place, folder, dirs_exist_ok=True))

    return copied
