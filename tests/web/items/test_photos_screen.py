"""Photos on the item's page: sent, refused in words, served to this browser alone, removed."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from pathlib import Path

import pytest
from bench_forms import csrf_token, words_of
from camera import segments, shot
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rail_shop import RailShop, clients_words
from signed_in import signed_in, stranger
from werkzeug.test import TestResponse
from writing import add_event

from resale.storage.ledger.event_checks import NewEvent
from resale.storage.photos.photos import photos_for_teaching, photos_of
from resale.web import create_app

SIGN = "cuff_buttons"


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


@pytest.fixture
def number(rail: RailShop) -> str:
    return rail.save("jacket", "52", cuff_buttons="working")


def send(rail: RailShop, number: str, *photos: bytes, signal: str = "") -> TestResponse:
    """Send photos as a browser does: RFC 7578."""
    parts = [
        f'form-data; name="{name}"\r\n\r\n{text}'.encode()
        for name, text in (("csrf_token", rail.token()), ("signal", signal))
    ]
    parts += [
        f'form-data; name="photo"; filename="my <b>{place}.jpg"\r\n\r\n'.encode() + content
        for place, content in enumerate(photos, start=1)
    ]
    body = b"".join(b"--edge\r\nContent-Disposition: " + part + b"\r\n" for part in parts)
    kind = "multipart/form-data; boundary=edge"
    return rail.client.post(
        f"/items/{number}/photos", data=body + b"--edge--\r\n", content_type=kind
    )


def folder(rail: RailShop) -> Path:
    return rail.shop.settings.data_folder / "photos"


def test_several_photos_are_kept_and_shown_with_what_they_show(rail: RailShop, number: str) -> None:
    answer = send(rail, number, shot(400, 300), shot(300, 400), signal=SIGN)
    assert (answer.status_code, answer.location) == (303, f"/items/{number}?photos=2#photos")
    page = rail.client.get(answer.location)
    assert "2 photos are kept." in words_of(page)
    shown = re.findall(
        r'<img src="(/photos/\d+/small\.jpg)" width="(\d+)" height="(\d+)"', page.text
    )
    first, second = ("/photos/1/small.jpg", "320", "240"), ("/photos/2/small.jpg", "240", "320")
    # The first stands before the ticket as well.
    assert shown == [first, first, second]
    assert all(rail.client.get(src).status_code == 200 for src, _, _ in shown)


def test_the_same_photo_sent_twice_stands_once(rail: RailShop, number: str) -> None:
    send(rail, number, shot(), shot())
    assert send(rail, number, shot()).status_code == 303
    assert len(photos_of(rail.shop.records, number)) == 1
    assert len(list(folder(rail).iterdir())) == 2


def test_a_photo_is_served_bare_and_to_this_browser_alone(rail: RailShop, number: str) -> None:
    send(rail, number, shot(turn=6))
    for size in ("full", "small"):
        answer = rail.client.get(f"/photos/1/{size}.jpg")
        assert answer.content_type == "image/jpeg"
        assert answer.headers["Cache-Control"] == "private, no-store"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Content-Disposition"] == f"inline; filename={number}-1.jpg"
        assert "ETag" not in answer.headers and "Last-Modified" not in answer.headers
        assert b"Exif" not in answer.data and segments(answer.data)
        answer.close()


def test_what_is_no_photo_is_said_one_by_one_and_the_good_ones_are_kept(
    rail: RailShop, number: str
) -> None:
    answer = send(
        rail, number, shot(), b"not a photo", b"\xff\xd8" + b"\0" * 40_000_000, signal=SIGN
    )
    said = words_of(answer)
    assert answer.status_code == 422
    assert "1 is kept; this is not:" in said
    assert "Photo 2 (my &lt;b&gt;2.jpg): it is no JPEG, PNG or WebP picture" in said
    assert "Photo 3 (my &lt;b&gt;3.jpg): the file has 40 MB and 15 are taken" in said
    # The form is kept, with the sign that was picked.
    assert re.search(rf'<option value="{SIGN}" selected>', answer.text)
    assert len(photos_of(rail.shop.records, number)) == 1


def test_more_than_can_be_sent_at_once_gets_a_sentence_and_shows_no_item(
    rail: RailShop, number: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("resale.web.items.photos._most_bytes", lambda _: 5_000)
    for asked in (number, "Q-99999"):
        answer = send(rail, asked, b"\xff\xd8" + b"\0" * 9_000)
        assert answer.status_code == 413
        assert "more than is taken at once" in words_of(answer) and asked not in answer.text


@pytest.mark.parametrize(
    ("path", "fields", "code", "sentence"),
    [
        ("/items/{}/photos", {}, 422, "none was picked"),
        ("/items/{}/photos", {"signal": "sole_left"}, 422, "the rule book has no sign 'sole_left'"),
        ("/items/Q-99999/photos", {}, 404, "no item 'Q-99999' is saved"),
        ("/photos/7/shows", {"signal": SIGN}, 404, "this photo is not kept"),
        ("/photos/99999999999999999999/remove", {}, 404, "Nothing is kept at this address."),
    ],
)
def test_what_cannot_be_done_gets_a_sentence(
    rail: RailShop, number: str, path: str, fields: dict[str, str], code: int, sentence: str
) -> None:
    answer = rail.post(path.format(number), **fields)
    assert answer.status_code == code
    assert sentence in words_of(answer).replace("&#39;", "'")


@pytest.mark.parametrize(
    "path",
    [
        "/photos/../shop.toml",
        "/photos/1/../../session.key",
        "/photos/1/full.jpg/..",
        "/photos/1/%2e%2e%2fsession.key.jpg",
        "/photos/1/x.jpg",
        "/static/../photos/x",
        "/static/photos/x.jpg",
        "/photos/-1/full.jpg",
        "/photos/2/full.jpg",
    ],
)
def test_no_address_leads_to_another_file(rail: RailShop, number: str, path: str) -> None:
    send(rail, number, shot())
    assert rail.client.get(path).status_code == 404


def test_a_file_that_is_gone_breaks_no_page(rail: RailShop, number: str) -> None:
    send(rail, number, shot())
    for one in folder(rail).iterdir():
        one.unlink()
    assert rail.client.get(f"/items/{number}").status_code == 200
    assert rail.client.get("/photos/1").status_code == 200
    answer = rail.client.get("/photos/1/full.jpg")
    assert answer.status_code == 404 and "the file of this photo is gone" in answer.text
    assert rail.post("/photos/1/remove").status_code == 303


def test_a_sorter_adds_and_only_a_lead_marks_and_removes(
    app: Flask, rail: RailShop, number: str
) -> None:
    rail.client = signed_in(app, "sorter")
    token = csrf_token(rail.client)
    rail.token = lambda: token  # type: ignore[method-assign]
    send(rail, number, shot(), signal=SIGN)
    assert "by Sunniva" in clients_words(rail.client, "/photos/1")
    assert "Remove" not in rail.client.get("/photos/1").text
    for path in ("/photos/1/teaches", "/photos/1/remove"):
        assert rail.post(path, signal=SIGN, option="working").status_code == 403
    rail.client = signed_in(app, "lead")
    token = csrf_token(rail.client)
    assert rail.post("/photos/1/teaches", signal=SIGN, option="nonsense").status_code == 422
    rail.post("/photos/1/teaches", signal=SIGN, option="working")
    assert [(one.signal, one.option) for one in photos_for_teaching(rail.shop.records)] == [
        (SIGN, "working")
    ]
    assert "says Leopold" in clients_words(rail.client, "/photos/1")
    assert "good for teaching" in clients_words(rail.client, f"/items/{number}")
    rail.post("/photos/1/remove")
    assert rail.client.get("/photos/1").status_code == 404
    assert not list(folder(rail).iterdir())


def test_a_stranger_sees_no_photo_and_sends_none(app: Flask, rail: RailShop, number: str) -> None:
    send(rail, number, shot())
    for path in ("/photos/1", "/photos/1/full.jpg", "/photos/1/small.jpg"):
        answer = stranger(app).get(path)
        assert answer.status_code in (303, 403) and b"\xff\xd8" not in answer.data
    data = {"photo": (io.BytesIO(shot(70, 70)), "x.jpg"), "csrf_token": "x"}
    assert stranger(app).post(f"/items/{number}/photos", data=data).status_code in (400, 401)
    assert len(photos_of(rail.shop.records, number)) == 1


def test_what_a_photo_shows_can_be_said_later(rail: RailShop, number: str) -> None:
    send(rail, number, shot())
    rail.post("/photos/1/shows", signal=SIGN)
    assert photos_of(rail.shop.records, number)[0].signal == SIGN


def test_a_later_photo_can_be_put_in_front(rail: RailShop, number: str) -> None:
    send(rail, number, shot(), shot(300, 400))
    photos = [one.id for one in photos_of(rail.shop.records, number)]
    for chosen in (*reversed(photos), photos[-1]):
        rail.post(f"/photos/{chosen}/front")
        page = rail.client.get(f"/items/{number}").text
        first = page[page.index('class="first-photo"') :]
        assert f"/photos/{chosen}/small.jpg" in first[: first.index("</p>")]
    assert [one.id for one in photos_of(rail.shop.records, number)] == photos[::-1]


def test_just_saved_on_the_bench_leads_to_photos(rail: RailShop, number: str) -> None:
    page = rail.client.get(f"/bench/jacket?saved={number}").text
    assert f'href="/items/{number}#photos">Add photos</a>' in page


def test_a_shop_that_opens_removes_photos_of_what_left_long_ago(
    app: Flask, rail: RailShop, number: str
) -> None:
    rail.post("/rail/out", pick=[number])
    send(rail, number, shot())
    sold = NewEvent(number, "sold", rail.day, "sold", 900)
    add_event(rail.shop.records, sold, currency="EUR", at=rail.shop.now())
    rail.later(90)
    create_app(rail.shop.settings.data_folder)
    assert photos_of(rail.shop.records, number)
    rail.later(1)
    create_app(rail.shop.settings.data_folder)
    assert photos_of(rail.shop.records, number) == ()


def test_a_shop_that_never_closes_removes_them_with_the_next_photo(
    rail: RailShop, number: str
) -> None:
    other = rail.save("shirt", label_standing="premium")
    rail.post("/rail/away", pick=[number])
    send(rail, number, shot())
    rail.later(120)
    send(rail, other, shot())
    left = [len(photos_of(rail.shop.records, one)) for one in (number, other)]
    assert left == ([1, 1] if rail.life(number).state.where != "gone" else [0, 1])


def test_a_consignor_is_forgotten_by_a_lead_who_sees_what_stays(
    rail: RailShop, number: str
) -> None:
    rail.post("/consignors", number="C-1", name="An Invented Name")
    rail.post("/consignors/C-1/brings", items=number)
    send(rail, number, shot())
    assert "/consignors/C-1/forget" in rail.client.get("/consignors/C-1").text
    page = clients_words(rail.client, "/consignors/C-1/forget")
    assert "1 photo of the items" in page and "the local law on accounts" in page
    answer = rail.post("/consignors/C-1/forget")
    assert answer.location == "/consignors/C-1/forget?gone=1"
    assert "1 photo is removed" in clients_words(rail.client, answer.location)
    assert "An Invented Name" not in rail.client.get("/consignors").text
    assert not list(folder(rail).iterdir())
    assert rail.client.get("/consignors/C-9/forget").status_code == 404


@pytest.fixture(scope="module")
def open_shop(tmp_path_factory: pytest.TempPathFactory) -> tuple[FlaskClient, str, str]:
    """One shop for many tries: client, number of an item, token."""
    app = create_app(tmp_path_factory.mktemp("shop"), photos_most=100)
    with pytest.MonkeyPatch.context() as patch:
        rail = RailShop(app, patch)
        return rail.client, rail.save("jacket", "52", cuff_buttons="working"), rail.token()


WHOLE = shot(64, 48)


@settings(
    max_examples=40, deadline=timedelta(seconds=3), suppress_health_check=[HealthCheck.too_slow]
)
@given(
    st.one_of(
        st.binary(max_size=300),
        st.binary(max_size=300).map(lambda more: b"\xff\xd8\xff\xe0" + more),
        st.integers(0, len(WHOLE)).map(lambda cut: WHOLE[:cut]),
    ),
    st.text(max_size=20),
)
def test_whatever_is_sent_is_never_a_fault_of_ours(
    open_shop: tuple[FlaskClient, str, str], content: bytes, name: str
) -> None:
    client, number, token = open_shop
    data = {"csrf_token": token, "photo": (io.BytesIO(content), f"{name}.jpg")}
    assert client.post(f"/items/{number}/photos", data=data).status_code in (303, 422)
