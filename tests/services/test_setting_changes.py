"""A changed setting and the line of who changed it: both, or neither."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, event

from resale.config.settings import read_settings
from resale.errors import SettingError
from resale.services.actor import Actor
from resale.services.settings import change_settings as module
from resale.services.settings.change_settings import Changed, change_settings, try_settings
from resale.storage.db.database import open_records
from resale.storage.people.audit_log import audit_entries

NOW = datetime(2026, 6, 30, 9, tzinfo=UTC)
WHO = Actor("Ottoline", "owner")
FILE = "# our own\nwage = 20\n"


@pytest.fixture
def records(tmp_path: Path, empty_records: Path) -> Iterator[Engine]:
    shutil.copy(empty_records, tmp_path)
    (tmp_path / "shop.toml").write_text(FILE)
    engine = open_records(tmp_path)
    yield engine
    engine.dispose()


def test_who_when_and_both_values_are_written_down(records: Engine, tmp_path: Path) -> None:
    settings = read_settings(tmp_path, environment={})
    after, lines = change_settings(records, settings, WHO, {"wage": 26, "periods": 5}, NOW)
    assert (after.wage, after.periods) == (26, 5)
    assert lines == [Changed("wage", "20", "26"), Changed("periods", "4", "5")]
    assert read_settings(tmp_path, environment={}) == after
    assert (tmp_path / "shop.toml").read_text().startswith("# our own\nwage = 26")
    said = [
        (one.made_at, one.by_whom, one.role, one.about, one.data) for one in audit_entries(records)
    ]
    assert (NOW, "Ottoline", "owner", "wage", {"before": "20", "after": "26"}) in said
    assert len(said) == 2


def test_what_was_that_already_is_no_change(records: Engine, tmp_path: Path) -> None:
    settings = read_settings(tmp_path, environment={})
    assert change_settings(records, settings, WHO, {"wage": 20.0}, NOW) == (settings, [])
    assert (tmp_path / "shop.toml").read_text() == FILE
    assert audit_entries(records) == ()


@pytest.mark.parametrize(
    ("values", "sentence"),
    [
        ({"periods": 5, "wage": -1}, "wage = -1 should be greater than or equal to 0"),
        ({"hosts": ["a"]}, "hosts is set in shop.toml or in the environment alone"),
        ({"data_folder": "/elsewhere"}, "data_folder is set in shop.toml"),
        ({"wgae": 1}, "wgae is not a setting"),
    ],
)
def test_one_wrong_value_changes_nothing(
    records: Engine, tmp_path: Path, values: dict[str, Any], sentence: str
) -> None:
    settings = read_settings(tmp_path, environment={})
    with pytest.raises(SettingError) as tried:
        try_settings(settings, values)
    with pytest.raises(SettingError) as written:
        change_settings(records, settings, WHO, values, NOW)
    assert sentence in tried.value.sentence and sentence in written.value.sentence
    assert (tmp_path / "shop.toml").read_text() == FILE
    assert audit_entries(records) == ()


def test_no_line_without_the_file(
    records: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(module, "write_whole", full)
    with pytest.raises(OSError, match="No space"):
        change_settings(records, read_settings(tmp_path, environment={}), WHO, {"wage": 26}, NOW)
    assert audit_entries(records) == ()


@pytest.mark.parametrize("there", [True, False], ids=["a file", "no file yet"])
def test_no_file_without_the_line(records: Engine, tmp_path: Path, there: bool) -> None:
    path = tmp_path / "shop.toml"
    if not there:
        path.unlink()

    def gone(_: object) -> None:
        assert "26" in path.read_text()
        raise RuntimeError("the records went away")

    event.listen(records, "commit", gone)
    with pytest.raises(RuntimeError, match="went away"):
        change_settings(records, read_settings(tmp_path, environment={}), WHO, {"wage": 26}, NOW)
    event.remove(records, "commit", gone)
    assert (path.read_text() if path.exists() else None) == (FILE if there else None)
    assert audit_entries(records) == ()
