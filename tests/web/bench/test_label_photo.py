"""A photographed label on the Bench, over the API and as a command: one service behind them.

What the program that reads labels would say is given here; that it reads them is tried in
`tests/storage/photos/test_label_words.py`.
"""

from __future__ import annotations

import io
import re
from html import unescape
from pathlib import Path

import pytest
from api_shop import V1, token_of
from bench_forms import new_form, words_of
from camera import shot
from click.testing import CliRunner
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from resale.cli.main import commands
from resale.garments.label_text.parted import ReadWord
from resale.services.photos import read_label
from resale.storage.photos import label_words

LABEL = ("SHELL: 65% polyester 35% cotton", "LINING: 100% viscose", "Wash 30, gluggl", "Made in Oz")


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> None:
    words = tuple(
        ReadWord(word, 62 if word == "35%" else 95, line)
        for line, said in enumerate(LABEL)
        for word in said.split()
    )
    monkeypatch.setattr(read_label, "words_of", lambda _, languages: words)


def sent(client: FlaskClient, kind: str = "jacket", photo: bytes | None = None, **fields: str):
    form = {**new_form(client), **fields}
    form = {name.replace("__", "-"): value for name, value in form.items()}
    if photo is not None:
        form["photo"] = (io.BytesIO(photo), "label.jpg")
    return client.post(f"/bench/{kind}/label-photo", data=form, content_type="multipart/form-data")


def value_of(answer: TestResponse, name: str) -> str:
    """What stands in a field of a page."""
    start = answer.text.index(f'name="{name}"')
    field = answer.text[start : answer.text.index(">", start)]
    return unescape(field.split('value="', 1)[1].split('"', 1)[0])


@pytest.mark.usefixtures("reads")
def test_what_was_read_stands_in_the_fields_and_nothing_is_saved(
    client: FlaskClient, app: Flask
) -> None:
    answer = sent(client, photo=shot(), note="from the blue bag")
    assert answer.status_code == 200
    fibres = ", ".join(LABEL[:2])
    assert value_of(answer, "m-fibre_shell") == value_of(answer, "m-fibre_lining") == fibres
    assert value_of(answer, "care") == "Wash 30, gluggl"
    assert value_of(answer, "note") == "from the blue bag"
    said = unescape(words_of(answer))
    assert "35% 62 % sure" in said and "gluggl not known here" in said
    assert "left out: Made in Oz" in said
    folder: Path = app.extensions["resale"].settings.data_folder
    assert not list(folder.rglob("*.jpg"))
    assert "Q-00001" not in client.get("/items").text


@pytest.mark.usefixtures("reads")
def test_what_somebody_typed_or_picked_stays(client: FlaskClient) -> None:
    answer = sent(client, photo=shot(), care="do not wash", s__fibre_shell="wool")
    assert value_of(answer, "care") == "do not wash"
    assert value_of(answer, "m-fibre_shell") == ""
    assert "Left as it was, for something stands there: Outer fibre, Care label says." in words_of(
        answer
    )


@pytest.mark.usefixtures("reads")
def test_a_thing_without_a_question_on_fibres_takes_the_care_alone(client: FlaskClient) -> None:
    answer = sent(client, "unsorted", photo=shot())
    assert value_of(answer, "care") == "Wash 30, gluggl"


def test_without_the_program_the_bench_says_what_to_install_and_goes_on(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(label_words, "find_spec", lambda _: None)
    page = client.get("/bench/jacket")
    assert "This machine cannot read labels off photos" in words_of(page)
    answer = sent(client, photo=shot(), note="keep me")
    assert answer.status_code == 422
    assert "pip install -q -c .ci/constraints.txt -e '.[ocr]'" in unescape(words_of(answer))
    assert value_of(answer, "note") == "keep me"


@pytest.mark.parametrize(
    ("photo", "sentence"),
    [
        (None, "Photo of the label: none was picked"),
        (b"no picture", "it is no JPEG, PNG or WebP picture"),
    ],
)
def test_what_is_no_photo_is_one_sentence_and_the_form_stays(
    client: FlaskClient, photo: bytes | None, sentence: str
) -> None:
    answer = sent(client, photo=photo, note="keep me")
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert value_of(answer, "note") == "keep me"


@pytest.mark.usefixtures("reads")
def test_a_device_gets_the_words_with_how_sure_each_is(app: Flask) -> None:
    headers = {"Authorization": f"Bearer {token_of(app, 'Scanner', 'read')}"}
    ask = app.test_client().post
    answer = ask(f"{V1}/labels/read", data=shot(), headers=headers, content_type="image/jpeg")
    assert answer.status_code == 200
    assert answer.json["care"] == "Wash 30, gluggl" and answer.json["left_out"] == "Made in Oz"
    unsure = {one["text"]: one["look_again"] for one in answer.json["words"] if one["look_again"]}
    assert unsure == {"35%": "unclear", "gluggl": "unknown"}
    other = ask(f"{V1}/labels/read", data=b"{}", headers=headers, content_type="text/plain")
    assert other.status_code == 415


@pytest.mark.usefixtures("reads")
def test_the_command_prints_both_and_ends_with_one_where_a_word_was_unsure(tmp_path: Path) -> None:
    photo, folder = tmp_path / "label.jpg", tmp_path / "shop"
    photo.write_bytes(shot())
    folder.mkdir()
    ran = CliRunner().invoke(commands, ["read-label", str(photo), "--folder", str(folder)])
    assert ran.exit_code == 1
    assert "Care    Wash 30, gluggl" in ran.stdout
    assert "Look again: 35% (62 % sure)" in ran.stderr
    missing = CliRunner().invoke(commands, ["read-label", str(tmp_path / "none.jpg")])
    assert missing.exit_code == 2 and "none.jpg" in missing.stderr


def test_one_label_answers_for_lining_and_filling_by_a_tap(client: FlaskClient) -> None:
    label = "Shell: 100% polyamide. Lining: 100% polyester. Filling: 90% down 10% feather"
    fields = {**new_form(client), "m-fibre_shell": label}
    live = client.post("/bench/down/look", data=fields, headers={"HX-Request": "true"})
    offered = re.findall(r'name="same-label" value="(\w+)"', live.text)
    assert len(offered) == 1
    answer = client.post("/bench/down/look", data={**fields, "same-label": offered[0]})
    assert value_of(answer, f"m-{offered[0]}") == label
    assert "same-label" not in answer.text
    jacket = {**new_form(client), "m-fibre_shell": label}
    live = client.post("/bench/jacket/look", data=jacket, headers={"HX-Request": "true"})
    assert "The label answers this too: lining fibre" in words_of(live)
