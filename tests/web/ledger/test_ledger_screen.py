"""The Ledger: lives of items, the day's book, a past brought in, prices learned from it."""

from __future__ import annotations

import io
import os
import re
import zipfile
from datetime import date

import pytest
from bench_forms import Send, hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from looked_over import looked_over
from messy_file import messy_csv
from werkzeug.test import TestResponse

from resale.storage.ledger.ledger import item_life
from resale.web.core.jobs import EXTENSION as WORKS
from resale.web.ledger.import_files import FOLDER, store_file

ITEM = "/ledger/item/Q-00001"


@pytest.fixture
def jacket(send: Send) -> str:
    """A jacket that was looked over, so that it may be sold."""
    looks = looked_over("jacket", {"cuff_buttons": "working"}, label="Harrowmere")
    send("save", s__cuff_buttons="working", label="Harrowmere", **looks)
    return "Q-00001"


def happens(client: FlaskClient, what: str, path: str = ITEM, **more: str) -> TestResponse:
    fields = hidden_fields(client, path)
    return client.post(path, data={**fields, "what": what, **more})


def told(client: FlaskClient, path: str = ITEM) -> str:
    return words_of(client.get(path)).replace("&#39;", "'")


def finished(app: Flask, client: FlaskClient, answer: TestResponse) -> TestResponse:
    """Follow work to its end."""
    app.extensions[WORKS].wait()
    assert answer.status_code == 303
    return client.get(answer.location, follow_redirects=True)


def bring(app: Flask, client: FlaskClient, content: bytes, name: str = "past.csv") -> TestResponse:
    fields = hidden_fields(client, "/ledger/bring")
    data = {**fields, "file": (io.BytesIO(content), name)}
    return finished(app, client, client.post("/ledger/bring", data=data))


# ---------------------------------------------------------------- the life of an item
def test_a_number_leads_to_its_item_however_it_is_typed(client: FlaskClient, jacket: str) -> None:
    answer = client.get("/ledger?number= q-00001 ")
    assert answer.location == ITEM
    assert "In the back room" in told(client)


def test_an_item_is_sold_at_its_ticket_price_in_two_taps(
    app: Flask, client: FlaskClient, jacket: str
) -> None:
    page = client.get(ITEM).text
    price = re.search(r"Sold at ([^<]+)</button>", page)
    assert price is not None
    amount = re.search(r'value="sold"><input type="hidden" name="amount" value="([^"]+)"', page)
    assert amount is not None
    assert happens(client, "sold", amount=amount[1]).status_code == 303
    assert f"for {price[1]}" in told(client)
    life = item_life(app.extensions["resale"].records, jacket)
    assert life.state.where == "sold"


def test_what_would_be_refused_is_not_offered_before_an_item_was_looked_over(
    client: FlaskClient, send: Send
) -> None:
    send("save", s__cuff_buttons="working")
    page = client.get(ITEM)
    for button in ("Sold at", "Put out at", "Another ticket", 'value="sold"', 'value="put_out"'):
        assert button not in page.text, button
    assert "Passed on" in page.text
    assert "so no ticket and no sale: " in words_of(page) and "pests" in words_of(page).lower()
    assert 'href="/bench/jacket?item=Q-00001"' in page.text
    refused = happens(client, "sold", amount="20")
    assert refused.status_code == 422 and "not looked at yet" in words_of(refused)


def test_what_cannot_have_happened_is_said_with_a_remedy(client: FlaskClient, jacket: str) -> None:
    happens(client, "sold", amount="20")
    answer = happens(client, "sold", amount="20")
    assert answer.status_code == 422
    assert "it is sold since" in words_of(answer)
    assert "record its return first" in words_of(answer)


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("amount", "lots", "is not an amount"),
        ("amount", "-3", "is below 0"),
        ("day", "31/12/2025", "is not a day"),
        ("day", "2099-12-31", "is still to come"),
        ("day", "2990-01-01", "is out of bounds"),
    ],
)
def test_a_price_or_day_that_cannot_be_read_is_named(
    client: FlaskClient, jacket: str, field: str, value: str, sentence: str
) -> None:
    answer = happens(client, "sold", **{"amount": "20", field: value})
    assert answer.status_code == 422
    assert sentence in words_of(answer).replace("&#39;", "'")


def test_the_same_form_sent_twice_is_written_down_once(
    app: Flask, client: FlaskClient, jacket: str
) -> None:
    fields = {**hidden_fields(client, ITEM), "what": "sold", "amount": "20"}
    assert [client.post(ITEM, data=fields).status_code for _ in range(2)] == [303, 303]
    life = item_life(app.extensions["resale"].records, jacket)
    assert [event.what for event in life.written].count("sold") == 1


def test_a_correction_is_a_line_of_its_own_and_the_old_one_stays(
    app: Flask, client: FlaskClient, jacket: str
) -> None:
    happens(client, "sold", amount="20")
    records = app.extensions["resale"].records
    sale = item_life(records, jacket).held[-1]
    path = f"{ITEM}/{sale.id}"
    fields = hidden_fields(client, path)
    data = {**fields, "day": str(sale.day), "amount": "18,50"}
    assert client.post(path, data=data).status_code == 303
    life = item_life(records, jacket)
    assert life.state.price == 1850
    assert [event.what for event in life.written][-2:] == ["sold", "corrected"]
    assert "€20.00" in told(client) and "€18.50" in told(client)


def test_a_line_that_never_happened_is_taken_back(
    app: Flask, client: FlaskClient, jacket: str
) -> None:
    happens(client, "sold", amount="20")
    records = app.extensions["resale"].records
    sale = item_life(records, jacket).held[-1]
    path = f"{ITEM}/{sale.id}"
    data = {**hidden_fields(client, path), "day": str(sale.day), "never": "1"}
    assert client.post(path, data=data).status_code == 303
    assert item_life(records, jacket).state.where == "back_room"
    assert client.get(path).status_code == 422


def test_the_days_book_adds_up(client: FlaskClient, jacket: str) -> None:
    happens(client, "put_out", amount="30")
    happens(client, "sold", amount="20")
    said = told(client, "/ledger")
    assert "In the till €20.00" in said and "1 for €20.00" in said
    happens(client, "returned", amount="20")
    assert "In the till €0.00" in told(client, "/ledger")
    assert "Nothing was written down for this day." in told(client, "/ledger?day=2020-01-01")
    assert client.get("/ledger?day=yesterday").status_code == 422


def test_everything_can_be_taken_out(client: FlaskClient, jacket: str) -> None:
    answer = client.get("/ledger/take-out")
    assert "attachment" in answer.headers["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        assert "Q-00001" in archive.read("events.csv").decode()


@pytest.mark.parametrize("path", [ITEM, f"{ITEM}/2", "/ledger/prices/learn", "/ledger/bring"])
def test_a_form_without_its_token_changes_nothing(
    client: FlaskClient, jacket: str, path: str
) -> None:
    assert client.post(path, data={"what": "sold", "amount": "20"}).status_code == 400


# ---------------------------------------------------------------- a past brought in
def test_a_messy_file_is_tried_first_with_examples_and_every_bad_row(
    app: Flask, client: FlaskClient
) -> None:
    page = bring(app, client, messy_csv())
    said = words_of(page)
    assert "Rows 10" in said and "New past sales 4" in said and "Stand twice 1" in said
    assert '<option value="price" selected>' in page.text
    assert "read as €16.50" in said
    assert "Poncho".casefold() in said.casefold()
    records = app.extensions["resale"].records
    with pytest.raises(Exception, match="no item"):
        item_life(records, "A-1")


def test_rows_that_come_back_can_be_had_as_a_file(app: Flask, client: FlaskClient) -> None:
    page = bring(app, client, messy_csv())
    path = re.search(r'href="(/ledger/bring/[^"]+/came-back)"', page.text)
    assert path is not None
    answer = client.get(path[1])
    assert "past-came-back.csv" in answer.headers["Content-Disposition"]
    assert "Poncho" in answer.data.decode("utf-8-sig")


def test_a_word_can_be_explained_and_a_file_is_loaded_once(app: Flask, client: FlaskClient) -> None:
    page = bring(app, client, messy_csv())
    path = re.search(r'action="(/ledger/bring/[0-9a-f]{64})"', page.text)
    assert path is not None
    chosen = re.findall(r'<select name="(c-[^"]+)".*?</select>', page.text, flags=re.S)
    blocks = re.findall(r'<select name="(c-[^"]+)"(.*?)</select>', page.text, flags=re.S)
    columns = {
        name: (re.findall(r'value="([^"]+)" selected', block) or [""])[0] for name, block in blocks
    }
    assert len(chosen) == len(columns) == 12
    token = {"csrf_token": hidden_fields(client, path[1])["csrf_token"]}
    data = {**token, **columns, "w-kind:poncho": "jacket"}
    page = finished(app, client, client.post(path[1], data=data))
    assert "New past sales 5" in words_of(page)
    page = finished(app, client, client.post(f"{path[1]}/load", data=token))
    assert "5 past sales loaded" in words_of(page)
    assert item_life(app.extensions["resale"].records, "A-4").state.where == "sold"
    page = bring(app, client, messy_csv())
    assert "none of its rows comes in twice" in words_of(page)
    assert "Load 5" not in words_of(page)


def test_a_file_without_a_needed_column_asks_which_it_is(app: Flask, client: FlaskClient) -> None:
    page = bring(app, client, b"type,when,zzz\nshirt,2026-01-05,12\nshirt,2026-01-06,14\n")
    said = words_of(page)
    assert "no column is taken for" in said and "say which it is" in said
    assert 'name="c-zzz"' in page.text


def test_what_is_no_table_gets_a_sentence(app: Flask, client: FlaskClient) -> None:
    page = bring(app, client, b"\x00\x01\x02", "photo.xlsx")
    assert "photo.xlsx" in words_of(page)
    assert client.get(f"/ledger/bring/{'0' * 64}").status_code == 422


# ---------------------------------------------------------------- prices learned
def test_a_file_too_large_is_told_what_is_taken(client: FlaskClient) -> None:
    answer = client.post(
        "/ledger/bring", data=b"x" * 41_000_000, content_type="multipart/form-data; boundary=x"
    )
    assert answer.status_code == 413
    assert "more than is taken at once (40 MB)" in words_of(answer)


def test_a_file_that_nobody_came_back_to_is_swept(app: Flask) -> None:
    folder = app.extensions["resale"].settings.data_folder
    old, new = store_file(folder, "old.csv", b"a"), store_file(folder, "new.csv", b"b")
    for path in (folder / FOLDER).glob(f"{old}*"):
        os.utime(path, (0, 0))
    store_file(folder, "newer.csv", b"c")
    assert not list((folder / FOLDER).glob(f"{old}*"))
    assert len(list((folder / FOLDER).glob(f"{new}*"))) == 2


def test_prices_are_learned_listed_and_left_again(app: Flask, client: FlaskClient) -> None:
    rows = "".join(f"jacket,2026-{m:02}-{d:02},{60 + d}\n" for m in (1, 2) for d in range(1, 21))
    page = bring(app, client, f"kind,sold on,price\n{rows}".encode())
    path = re.search(r'action="(/ledger/bring/[0-9a-f]{64}/load)"', page.text)
    assert path is not None
    token = hidden_fields(client, "/ledger/prices")
    assert not token
    token = {"csrf_token": re.findall(r'name="csrf_token" value="([^"]+)"', page.text)[0]}
    finished(app, client, client.post(path[1], data=token))
    before = app.extensions["resale"].model_id
    page = finished(app, client, client.post("/ledger/prices/learn", data={**token, "note": "x"}))
    after = app.extensions["resale"].model_id
    assert before.startswith("rules-") and after != before
    assert "In use" in words_of(page) and "half_life_days" in words_of(page)
    client.post("/ledger/prices/switch", data=token)
    assert app.extensions["resale"].model_id == before
    client.post("/ledger/prices/switch", data={**token, "model": after})
    assert app.extensions["resale"].model_id == after


def test_learning_from_nothing_says_what_to_do(app: Flask, client: FlaskClient) -> None:
    token = hidden_fields(client, "/ledger/bring")
    client.post("/ledger/prices/learn", data=token)
    app.extensions[WORKS].wait()
    answer = client.get("/work/learn")
    assert answer.status_code == 422
    assert "nothing sold yet" in words_of(answer)


def test_the_day_of_the_book_is_the_shops_own(client: FlaskClient) -> None:
    assert f'value="{date.today()}"' in client.get("/ledger").text  # noqa: DTZ011
