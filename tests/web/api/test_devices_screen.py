"""The page of devices, the page about the API, and the commands for both."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from api_shop import V1
from bench_forms import csrf_token, words_of
from click.testing import CliRunner
from flask.testing import FlaskClient

from resale.cli.main import commands
from resale.web.api.operations import OPERATIONS


def token_shown(text: str) -> str:
    found = re.search(r'id="token"[^>]* value="([\w-]{43})"', text)
    assert found is not None
    return found[1]


def status(client: FlaskClient, token: str) -> int:
    headers = {"Authorization": f"Bearer {token}"}
    return client.get(f"{V1}/model", headers=headers).status_code


def test_a_token_is_made_shown_once_and_revoked(client: FlaskClient) -> None:
    form = {"csrf_token": csrf_token(client)}
    made = client.post(
        "/devices", data={**form, "name": "Till at the door", "may": ["read", "sell"]}
    )
    token = token_shown(made.text)
    assert made.headers["Cache-Control"] == "no-store"
    assert status(client, token) == 200
    again = client.get("/devices")
    assert token not in again.text and "Till at the door" in again.text
    revoke = re.search(r'action="(/devices/\d+/revoke)"', again.text)[1]
    assert client.post(revoke, data=form).status_code == 303
    assert status(client, token) == 401
    assert "revoked" in words_of(client.get("/devices"))


@pytest.mark.parametrize(
    ("name", "may"),
    [("", ["read"]), ("x" * 61, ["read"]), ("a\x07", ["read"]), ("Till", []), ("T", ["own"])],
)
def test_what_is_no_device_is_refused_in_a_sentence(
    client: FlaskClient, name: str, may: list[str]
) -> None:
    form = {"csrf_token": csrf_token(client)}
    answer = client.post("/devices", data={**form, "name": name, "may": may})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text and 'id="token"' not in answer.text


def test_sent_twice_a_second_token_is_not_made(client: FlaskClient) -> None:
    form = {"csrf_token": csrf_token(client)}
    once = {**form, "name": "Scanner", "may": ["read"]}
    assert client.post("/devices", data=once).status_code == 200
    twice = client.post("/devices", data={**once, "name": "scanner"})
    assert twice.status_code == 422
    assert "revoke that one first" in words_of(twice)


def test_a_form_from_elsewhere_makes_no_token(client: FlaskClient) -> None:
    assert client.post("/devices", data={"name": "Till", "may": "read"}).status_code == 400


def test_the_page_about_the_api_names_every_address(client: FlaskClient) -> None:
    said = words_of(client.get("/api"))
    for one in OPERATIONS.values():
        assert one.summary.split(":")[0][:40] in said
    assert "/api/v1/items/{number}/events" in said


def test_the_commands_add_list_and_revoke(tmp_path: Path) -> None:
    run = CliRunner().invoke
    folder = ["--folder", str(tmp_path)]
    added = run(commands, ["device", "add", "Till", "--may", "read", "--may", "sell", *folder])
    assert added.exit_code == 0
    assert re.fullmatch(r"[\w-]{43}", added.stdout.strip())
    assert "shown this once" in added.stderr
    listed = run(commands, ["device", "list", *folder])
    assert listed.stdout == "1\tTill\tread sell\tasked never\n"
    twice = run(commands, ["device", "add", "till", *folder])
    assert twice.exit_code == 2 and "let in already" in twice.stderr
    gone = run(commands, ["device", "revoke", "1", *folder])
    assert gone.stdout == "Till is shut out.\n"
    assert "revoked" in run(commands, ["device", "list", *folder]).stdout
    assert run(commands, ["device", "revoke", "9", *folder]).exit_code == 2
