"""A process follows settings that another one changed, and what it was started with stays."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from resale.config.settings import read_settings
from resale.services.actor import Actor
from resale.services.settings.change_settings import change_settings
from resale.storage.db.database import records_of
from resale.web import create_app

OWNER = Actor("Ottoline", "owner")


def test_settings_changed_by_another_process_hold_here_too(tmp_path: Path) -> None:
    app = create_app(tmp_path / "shop", wage=30, FOLLOW_EVERY=0)
    client = app.test_client()
    # A second process of the shop: its own records, its own reading of the file.
    there = read_settings(tmp_path / "shop")
    records = records_of(there)
    now = datetime.now(UTC)
    change_settings(records, there, OWNER, {"least_ticket": 6.5, "wage": 26}, now)
    records.dispose()
    assert app.extensions["resale"].settings.least_ticket != 6.5
    assert client.get("/settings").status_code == 200
    shop = app.extensions["resale"]
    assert shop.settings.least_ticket == 6.5 == shop.terms.least_ticket
    assert shop.valuer.terms == shop.terms
    assert shop.settings.wage == 30


def test_a_file_that_cannot_be_read_changes_nothing_and_stops_nobody(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    app = create_app(tmp_path / "shop", FOLLOW_EVERY=0)
    client, before = app.test_client(), app.extensions["resale"].settings
    (tmp_path / "shop" / "shop.toml").write_text("least_ticket = [")
    assert client.get("/settings").status_code == 200
    assert app.extensions["resale"].settings == before
    assert "could not be seen" in caplog.text
