"""Who did it stands beside it, from every door: screens, devices, commands, the invented shop."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from api_shop import LOOKED_OVER, V1, token_of
from bench_forms import csrf_token, hidden_fields, new_form
from click.testing import CliRunner
from flask import Flask
from looked_over import looked_over
from signed_in import NAMES, signed_in
from sqlalchemy import text

from resale.cli.main import commands
from resale.services.actor import at_the_machine
from resale.storage.people.audit_log import audit_entries
from resale.web import create_app


def authors(app: Flask, table: str) -> set[str]:
    with app.extensions["resale"].records.connect() as at:
        return set(at.scalars(text(f"SELECT DISTINCT by_whom FROM {table}")))  # noqa: S608


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    return create_app(tmp_path / "shop", RATELIMIT_ENABLED=False)


def test_what_a_device_does_has_its_name(app: Flask) -> None:
    client, headers = app.test_client(), {"Authorization": f"Bearer {token_of(app, 'Till')}"}

    def send(path: str, key: str, **body: object) -> dict:
        return client.post(f"{V1}{path}", json={**body, "key": key}, headers=headers).json

    number = send("/items", "a", **LOOKED_OVER)["number"]
    send(f"/items/{number}/events", "b", what="put_out")
    send(f"/items/{number}/events", "c", what="sold")
    send("/items", "d", kind="jacket", readings={"mould": "musty"})
    for table in ("event", "hold_event"):
        (name,) = authors(app, table)
        assert name.startswith("Till")
    told = [one.what for one in audit_entries(app.extensions["resale"].records)]
    assert told == ["saved an item", "sold an item", "put an item out", "saved an item"]


def test_what_is_learned_on_a_screen_has_the_name_of_whoever_asked(app: Flask) -> None:
    sorter, owner = signed_in(app, "sorter"), signed_in(app, "owner")
    fields = new_form(sorter)
    looks = looked_over("jacket", {"cuff_buttons": "working"})
    sorter.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "working", **looks})
    life = {**hidden_fields(sorter, "/ledger/item/Q-00001"), "what": "sold", "key": "k"}
    assert sorter.post("/ledger/item/Q-00001", data={**life, "amount": "40"}).status_code == 303
    token = csrf_token(owner)
    owner.post("/ledger/prices/learn", data={"csrf_token": token})
    app.extensions["resale.work"].wait()
    assert authors(app, "event") == {NAMES["sorter"]}
    assert authors(app, "model_switch") == {NAMES["owner"]}


def test_what_a_command_does_has_the_name_of_the_account(tmp_path: Path) -> None:
    (tmp_path / "past.csv").write_text("kind,price,sold_on\njacket,30,2026-01-05\n")
    folder = str(tmp_path / "shop")
    run = CliRunner().invoke
    Path(folder).mkdir(parents=True, exist_ok=True)
    loaded = run(commands, ["bring", str(tmp_path / "past.csv"), "--load", "--folder", folder])
    assert loaded.exit_code == 0, loaded.output
    assert run(commands, ["fit", "--folder", folder]).exit_code == 0
    app = create_app(tmp_path / "shop")
    assert authors(app, "event") == authors(app, "model_switch") == {at_the_machine().name}


def test_the_invented_shop_says_that_nobody_real_filled_it(
    tmp_path: Path, copy_of_demo: Callable[[Path], Path]
) -> None:
    app = create_app(copy_of_demo(tmp_path / "shop"), demo=True)
    for table in ("event", "hold_event"):
        assert authors(app, table) == {"invented"}
