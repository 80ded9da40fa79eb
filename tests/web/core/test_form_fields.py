"""Numbers and days that a form may send: what is out of bounds is one sentence, before any view."""

from __future__ import annotations

import pytest
from bench_forms import hidden_fields, words_of
from flask.testing import FlaskClient

from resale.errors import ReadingError
from resale.web.core.form_fields import MOST, check_fields


@pytest.mark.parametrize("text", ["9223372036854775808", "-1", str(MOST + 1), "9" * 400])
def test_a_whole_number_is_one_that_a_row_can_have(text: str) -> None:
    with pytest.raises(ReadingError, match=r"page: .* is out of bounds; write one from 0 to"):
        check_fields([("page", text)])


@pytest.mark.parametrize("text", ["nan", "-inf", "Infinity", "1e308", "1e999", "1e-320", "9" * 60])
def test_a_number_is_finite_and_of_an_ordinary_size(text: str) -> None:
    with pytest.raises(ReadingError, match="out of bounds"):
        check_fields([("doubt-worn", text)])


@pytest.mark.parametrize("text", ["0001-01-01", "9999-12-31", "1989-12-31"])
def test_a_day_is_one_of_a_shop_s_life(text: str) -> None:
    with pytest.raises(ReadingError, match=r"day: .* write one from 1990-01-01 to 2100-12-31"):
        check_fields([("day", text)])


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("level", "6,5"),
        ("effect-worn", "× 1.10"),
        ("doubt-worn", "12 %"),
        ("day", "20260331"),
        ("level", "0"),
        ("page", ""),
        ("note", "nan"),
        ("note", "9" * 400),
        # A moment is of its page to read: an answer is not lost over a wrong clock.
        ("shown", "1795908559.18"),
        # No number at all: the view says what it wanted.
        ("level", "soon"),
        ("day", "soon"),
        ("page", "x"),
    ],
)
def test_what_people_write_passes(name: str, text: str) -> None:
    check_fields([(name, text)])


@pytest.mark.parametrize(
    "path",
    [
        "/drill/second-looks?day=9999-12-31",
        "/ledger?day=0001-01-01",
        "/items?page=" + "9" * 30,
        "/deeds?before=9223372036854775808",
    ],
)
def test_a_page_says_it_in_a_sentence(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 422 and "is out of bounds; write one" in words_of(answer)


def test_a_row_that_no_database_can_number_is_not_there(client: FlaskClient) -> None:
    assert client.get("/photos/9223372036854775808").status_code == 404


def test_an_opinion_that_is_no_number_is_said(client: FlaskClient) -> None:
    path = "/rules/jacket/cuff_buttons"
    told = {**hidden_fields(client, path), "effect-working": "Infinity"}
    answer = client.post(path, data=told)
    assert answer.status_code == 422 and "is out of bounds" in words_of(answer)


@pytest.mark.parametrize("kind", ["", "; filename=a.jpg"], ids=["field", "file"])
def test_a_part_without_a_name_is_said(client: FlaskClient, kind: str) -> None:
    token = hidden_fields(client, "/consignors")["csrf_token"]
    parts = (
        f'--cut\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n{token}\r\n'
        f"--cut\r\nContent-Disposition: form-data{kind}\r\n\r\nwhatever\r\n--cut--\r\n"
    )
    for path in ("/consignors", "/items/Q-00001/photos", "/ledger/item/Q-00001"):
        answer = client.post(
            path, data=parts.encode(), content_type="multipart/form-data; boundary=cut"
        )
        assert answer.status_code == 422
        assert "a part of what was sent has no name" in words_of(answer)
