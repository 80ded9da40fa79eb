"""Saving: nothing typed is lost, nothing is saved twice, nothing saved is changed."""

from __future__ import annotations

import pytest
from a_save import AT, a_save
from bench_forms import Send, hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from writing import save_item

from resale.storage.items.store import item_numbered, items_count
from resale.web import create_app


def test_saving_leads_on_to_the_next_of_the_kind(send: Send, client: FlaskClient) -> None:
    answer = send("save", s__cuff_buttons="working")
    assert answer.status_code == 303
    assert answer.location == "/bench/jacket?saved=Q-00001"
    page = client.get(answer.location)
    assert "Saved as Q-00001" in words_of(page)
    assert 'name="s-cuff_buttons" value="" checked' in page.text


def test_saving_can_open_what_was_saved(send: Send, client: FlaskClient) -> None:
    answer = send("save", then="open", s__cuff_buttons="working")
    assert answer.location == "/items/Q-00001?saved=1"
    assert "Cuff buttons" in words_of(client.get(answer.location))


def test_sending_the_same_form_twice_saves_once(app: Flask, send: Send) -> None:
    first = send("save", s__cuff_buttons="working")
    again = send("save", s__cuff_buttons="working")
    assert first.location == again.location
    records = app.extensions["resale"].records
    assert items_count(records) == 1
    assert len(item_numbered(records, "Q-00001").valuations) == 1


def test_going_back_to_change_something_adds_a_valuation_to_the_same_item(
    app: Flask, send: Send
) -> None:
    send("save", s__cuff_buttons="working")
    send("save", s__cuff_buttons="sewn_on", label="Harrowmere")
    item = item_numbered(app.extensions["resale"].records, "Q-00001")
    assert [one.inputs["choices"]["cuff_buttons"] for one in item.valuations] == [
        "sewn_on",
        "working",
    ]
    assert item.label == "Harrowmere"


def test_an_item_can_go_on_the_bench_again_with_all_its_readings(
    client: FlaskClient, send: Send
) -> None:
    send(
        "save",
        s__cuff_buttons="working",
        m__stitch_density="14",
        g__stitch_density="folded_note",
        f__cuff_buttons="62",
        label="Harrowmere",
        size="52",
    )
    text = client.get("/bench/jacket?item=Q-00001").text
    assert 'name="s-cuff_buttons" value="working" checked' in text
    assert 'name="m-stitch_density" class="typed count" inputmode="decimal" value="14"' in text
    assert '<option value="folded_note" selected>' in text
    assert 'value="Harrowmere"' in text and 'value="52"' in text
    fields = hidden_fields(client, "/bench/jacket?item=Q-00001")
    assert fields["number"] == "Q-00001"
    answer = client.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "none"})
    assert answer.location == "/bench/jacket?saved=Q-00001"


def test_a_saved_item_shows_the_price_it_was_saved_with_whatever_the_settings_become(
    app: Flask, client: FlaskClient, send: Send
) -> None:
    send("save", s__cuff_buttons="working", then="open")
    before = words_of(client.get("/items/Q-00001"))
    folder = app.extensions["resale"].settings.data_folder
    later = create_app(folder, least_ticket=500.0, coverage=0.5).test_client()
    assert words_of(later.get("/items/Q-00001")) == before


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("m-stitch_density", "lots", "'lots' is not a stitch count"),
        ("m-stitch_density", "900", "Stitches to the inch"),
        ("f-cuff_buttons", "long", "'long' is not a length"),
        ("f-cuff_buttons", "40 m", "is over 10 m"),
        ("label", "x" * 81, "The label has 81 characters; shorten it to 80."),
        ("note", "x" * 401, "The note has 401 characters; shorten it to 400."),
        ("s-cuff_buttons", "velvet", "Cuff buttons: the page offered an answer that the rule book"),
    ],
)
def test_what_cannot_be_saved_is_said_and_the_form_is_kept(
    client: FlaskClient, fields: dict[str, str], field: str, value: str, sentence: str
) -> None:
    data = {**fields, "s-odour": "faint", "size": "52", field: value}
    answer = client.post("/bench/jacket/save", data=data)
    assert answer.status_code == 422
    said = words_of(answer).replace("&#39;", "'")
    assert sentence in said
    assert "nothing you entered is lost" in said
    assert f'href="#{field}"' in answer.text
    assert 'name="s-odour" value="faint" checked' in answer.text
    if field != "s-cuff_buttons":
        assert f'value="{value}"' in answer.text


def test_an_unknown_number_cannot_be_valued_again(
    client: FlaskClient, fields: dict[str, str]
) -> None:
    answer = client.post("/bench/jacket/save", data={**fields, "number": "Q-77777"})
    assert answer.status_code == 404
    assert "no item" in words_of(answer)


def test_the_list_finds_by_each_word_of_number_kind_label_size_and_note(
    client: FlaskClient, send: Send
) -> None:
    send("save", label="Harrowmere", size="52", note="brass 100%")
    for words in ("q-00001", "jacket harrow", "52 brass", "100%"):
        assert "/items/Q-00001" in client.get("/items", query_string={"q": words}).text
    nothing = client.get("/items", query_string={"q": "harrow shoes"})
    assert "Nothing is saved under these words." in words_of(nothing)


def test_the_list_turns_its_pages(app: Flask, client: FlaskClient) -> None:
    for place in range(52):
        save_item(app.extensions["resale"].records, a_save(f"key-{place}"), AT)
    first, second = client.get("/items"), client.get("/items?page=2")
    assert "Page 1 of 2" in words_of(first) and "/items/Q-00052" in first.text
    assert "/items/Q-00001" in second.text and "/items/Q-00052" not in second.text
    assert "Page 2 of 2" in words_of(client.get("/items?page=99"))
    assert "Page 1 of 2" in words_of(client.get("/items?page=many"))


def test_what_a_sorter_types_is_shown_as_text_and_never_as_markup(
    client: FlaskClient, send: Send
) -> None:
    send("save", label="<b>loud</b>", note="<script>x</script>")
    for path in ("/items", "/items/Q-00001", "/bench/jacket?item=Q-00001", "/"):
        text = client.get(path).text
        assert "<b>loud" not in text and "<script>x" not in text
