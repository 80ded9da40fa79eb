"""Stock and consignors by file, on the screen: tried first, then whole."""

from __future__ import annotations

import io

import pytest
from bench_forms import csrf_token, words_of

from resale.storage.ledger.consignors import consignors
from resale.storage.ledger.ledger import items_on_hand

PEOPLE = "Nummer;Name;Anteil\nC-1;Ann Ember;60 %\n;Bo Fen;\n"
THINGS = (
    "Nr;Artikel;Marke;Kaartprijs;Kommittent\n"
    "T-1;Herrensakko;Harrowmere;38,00;C-1\n"
    "T-2;Stiefel;;15,00;Bo Fen\n"
    "T-3;Wunderding;;5,00;\n"
)


@pytest.fixture
def token(client):
    return csrf_token(client)


def send(client, token, path, text):
    file = (io.BytesIO(text.encode()), "file.csv")
    return client.post(path, data={"csrf_token": token, "file": file}, follow_redirects=True)


def test_people_and_things_come_in_and_stand_where_they_stood(app, client, token):
    records = app.extensions["resale"].records
    said = words_of(send(client, token, "/ledger/stock/consignors", PEOPLE))
    assert "2 consignors are new" in said
    page = send(client, token, "/ledger/stock", THINGS)
    assert "wunderding" in words_of(page) and items_on_hand(records) == ()
    digest = page.request.path.rsplit("/", 1)[-1]
    told = {"csrf_token": token, "w-kind:wunderding": "-", "c-nr": "item", "c-artikel": "kind"}
    told |= {"c-marke": "label", "c-kaartprijs": "ticket", "c-kommittent": "consignor"}
    client.post(f"/ledger/stock/{digest}", data=told)
    loaded = client.post(f"/ledger/stock/{digest}/load", data={"csrf_token": token})
    while "/work/" in (loaded.location or ""):
        loaded = client.get(loaded.location)
    assert {(one.number, one.state.where, one.state.ticket) for one in items_on_hand(records)} == {
        ("T-1", "on_rail", 3800),
        ("T-2", "on_rail", 1500),
    }
    assert [one.items for one in consignors(records)] == [1, 1]
    back = client.get(f"/ledger/stock/{digest}/came-back").get_data().decode("utf-8-sig")
    assert "you said to leave Wunderding out" in back


def test_a_file_of_people_with_a_fault_writes_nobody(app, client, token):
    answer = send(client, token, "/ledger/stock/consignors", PEOPLE + "C-2;Cy;160 %\n")
    assert answer.status_code in {400, 422}
    assert "is no share" in words_of(answer)
    assert consignors(app.extensions["resale"].records) == []
