"""Whatever is sent to whichever form by whomever, it is never a fault of the program."""

from __future__ import annotations

import pytest
from bench_forms import hidden_fields, new_form
from camera import shot
from flask import Flask
from flask.testing import FlaskClient
from form_fuzz import FormFuzz, Told
from writing import add_photo

from resale.storage.people.people import add_person

QUICK, LONG = 600, 20_000
SELDOM = (
    "backups.make",
    "backups.download",
    "ledger.take_out",
    "evidence.plot",
    "prices.learn_again",
)


@pytest.fixture
def full(app: Flask, client: FlaskClient) -> Flask:
    """A shop where most pages have something to show, and so have their forms."""
    shop = app.extensions["resale"]
    for n, kind in enumerate(("jacket", "jacket", "shirt", "shoes", "bag")):
        fields = new_form(client)
        client.post(f"/bench/{kind}/save", data=fields)
        number = f"Q-{n + 1:05d}"
        happened = {**hidden_fields(client, f"/ledger/item/{number}"), "day": "", "amount": "25"}
        if n:
            client.post(f"/ledger/item/{number}", data={**happened, "what": "put_out"})
    add_photo(shop.records, shop.settings, "Q-00001", shot(90, 60), at=shop.now())
    for name, role in (("Sunniva", "sorter"), ("Leopold", "lead"), ("Ottoline", "owner")):
        add_person(shop.records, name, role, shop.now())  # type: ignore[arg-type]
    token = {"csrf_token": fields["csrf_token"]}
    client.post("/consignors", data={**token, "name": "An invented consignor", "share": "50"})
    client.post("/devices", data={**token, "name": "Till", "may": "read"})
    held = hidden_fields(client, "/held/Q-00002")
    answer = client.post("/held/Q-00002", data={**held, "hold": "mould", "note": "musty"})
    assert answer.status_code == 303, answer.text
    return app


def fuzzed(app: Flask, requests: int, seed: int) -> Told:
    told = FormFuzz(app, seed, SELDOM).run(requests)
    assert told.faults == []
    assert told.statuses[200] + told.statuses[303] > requests / 5, told.statuses
    return told


@pytest.mark.long
def test_no_form_is_answered_with_a_fault(full: Flask) -> None:
    fuzzed(full, QUICK, seed=1)


@pytest.mark.long
def test_no_form_is_answered_with_a_fault_in_twenty_thousand(
    full: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each address is asked by every role, and nobody waits for an answer longer than 5 s."""
    told = fuzzed(full, LONG, seed=2)
    assert told.hung == []
    roles: dict[str, set[str]] = {}
    for endpoint, role in told.asked:
        roles.setdefault(endpoint, set()).add(role)
    assert [one for one, had in roles.items() if len(had) < 4 and one not in SELDOM] == []
    with capsys.disabled():
        print(
            f"\n{sum(told.statuses.values()):,} requests to {len(roles)} addresses: "
            f"{dict(sorted(told.statuses.items()))}"
        )
