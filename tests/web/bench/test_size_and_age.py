"""What the Bench says of a marked size, and the page on how old a thing is."""

from __future__ import annotations

from html import unescape

import pytest
from bench_forms import Send, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient

from resale.services.items.beside_signs import ticket_lines
from resale.storage.items.store import item_numbered


def test_a_size_is_said_in_centimetres_and_set_beside_the_tape(send: Send) -> None:
    said = unescape(words_of(send("look", live=True, size="L")))
    assert "L, women's: chest 98 to 107 cm (L) or L, men's: chest 102 to 110 cm (L)." in said
    tape = words_of(send("look", live=True, size="M", s__department="men", m__chest_flat="64"))
    assert "larger than its mark" in tape
    assert " cm (" not in words_of(send("look", live=True, size="odd"))


def test_clues_that_are_ticked_leave_years_and_an_answer_for_the_label(
    client: FlaskClient,
) -> None:
    asked = {"kind": "dress", "clue": ["west_germany", "coil_zip"]}
    answer = client.get("/how-old", query_string=asked)
    assert "Made between 1960 and 1993" in words_of(answer)
    assert "Age of the label: Older than thirty" in words_of(answer)
    assert 'value="coil_zip" checked' in answer.text


def test_clues_that_quarrel_give_no_years(client: FlaskClient) -> None:
    asked = {"clue": ["utility_mark", "web_address", "no such clue"]}
    said = words_of(client.get("/how-old", query_string=asked))
    assert "They cannot both be of its making" in said
    assert "Made between" not in said


def test_the_sign_of_the_labels_age_leads_there(client: FlaskClient) -> None:
    assert 'href="/how-old?kind=dress"' in client.get("/bench/dress").text


def test_a_care_label_in_any_language_is_said_to_the_buyer_and_kept(
    client: FlaskClient, send: Send
) -> None:
    said = words_of(send("look", live=True, care="Nicht waschen, chemische Reinigung, gluggl"))
    assert "For the buyer: Water may spoil it." in said and "gluggl" in said
    saved = send("save", then="open", care="lavare 30, non asciugare in asciugatrice")
    page = words_of(client.get(saved.headers["Location"]))
    assert "Wash no warmer than 30 °C. Not in the dryer" in page


@pytest.mark.parametrize(
    ("kind", "answer", "said"),
    [
        ("jacket", {"s-set_whole": "two_piece"}, "two pieces, sold together"),
        ("knitwear", {"s-set_parts": "pair"}, "two parts, sold together"),
        ("linen", {"s-set_parts": "pair"}, "two parts, sold together"),
    ],
)
def test_a_suit_a_twinset_and_a_pair_of_curtains_are_one_item_whose_ticket_says_so(
    client: FlaskClient, app: Flask, kind: str, answer: dict[str, str], said: str
) -> None:
    fields = {**new_form(client), **answer}
    alone = words_of(client.post(f"/bench/{kind}/look", data=fields))
    assert "Two" in alone
    saved = client.post(f"/bench/{kind}/save", data={**fields, "then": "open"})
    number = saved.headers["Location"].split("/")[2].split("?")[0]
    records = app.extensions["resale"].records
    assert ticket_lines(item_numbered(records, number).newest.inputs)[0] == said


def test_a_measure_that_is_none_is_sent_back_with_everything_typed(send: Send) -> None:
    answer = send("save", tape="about so", care="wash 30")
    assert "Tape: " in words_of(answer) and 'value="wash 30"' in answer.text
