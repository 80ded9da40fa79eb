"""Cards from the shop's own photos, as a trainee meets them."""

from __future__ import annotations

import re
from html import unescape

import pytest
from bench_forms import hidden_fields, words_of
from camera import shot
from flask import Flask
from rail_shop import RailShop
from writing import add_photo, remove_photo

from resale.storage.people.drill_sessions import save_session, session_of
from resale.storage.people.drill_store import answers_of
from resale.storage.people.people import people
from resale.storage.photos.write_photos import review_photo
from resale.training.practice.photo_cards import FAMILY
from resale.training.practice.session import Planned
from resale.web.training.photo_cards import drills_on_photos, photos_taught, with_photos

SIGN = "pilling"


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def teach(rail: RailShop, side: int, option: str) -> int:
    """A photo of pills that a lead found good for teaching."""
    shop, number = rail.shop, rail.save("jacket", pilling=option)
    photo = add_photo(
        shop.records, shop.settings, number, shot(side, 300), at=shop.now(), signal=SIGN
    )
    review_photo(shop.records, photo, SIGN, option, by="Leopold", at=shop.now())
    return photo


def begin(rail: RailShop, count: int) -> str:
    """Address of a session of so many cards on photos."""
    shop = rail.shop
    (drill,) = drills_on_photos(shop)
    plan = with_photos(shop, [Planned(drill, 99, "new")] * count)
    save_session(shop.records, "photos", people(shop.records)[0].id, plan, shop.now())
    return "/drill/session/photos"


def test_without_photos_there_is_nothing_of_them(rail: RailShop) -> None:
    rail.save("jacket", pilling="grade_4")
    assert drills_on_photos(rail.shop) == () == photos_taught(rail.shop)


def test_a_photo_is_asked_about_and_judged_with_its_how_to(rail: RailShop) -> None:
    photo = teach(rail, 400, "grade_4")
    session = begin(rail, 1)
    page = rail.client.get(f"{session}/1")
    assert re.search(rf'<img src="/photos/{photo}/full.jpg" alt="[^"]+" width="360"', page.text)
    assert 'height="270"' in page.text
    said = unescape(words_of(page))
    assert "From our own items" in said and "Pilling: which of these is it?" in said
    alt = re.search(r'<img src="/photos[^>]*alt="([^"]+)"', page.text)
    assert alt and "first pills" not in alt[1]
    data = {**hidden_fields(rail.client, f"{session}/1"), "answer": "grade_4"}
    after = unescape(words_of(rail.client.post(f"{session}/1", data=data, follow_redirects=True)))
    kind = rail.shop.book.kinds["jacket"]
    assert "Right." in after and kind.by_id[SIGN].hands in after
    home = unescape(words_of(rail.client.get("/drill")))
    assert re.search(r"Pilling 100 percent .* 1 of 4 met", home)
    assert "From our own items: pilling" in unescape(words_of(rail.client.get(f"{session}/done")))


def test_each_photo_comes_once_before_one_comes_again(rail: RailShop) -> None:
    photos = {teach(rail, 400 + n, grade) for n, grade in enumerate(("grade_3", "grade_5"))}
    begin(rail, 3)
    seeds = [one.seed for one in session_of(rail.shop.records, "photos").plan]
    assert set(seeds[:2]) == photos and seeds[2] in photos


def test_a_photo_that_is_gone_is_passed_over(rail: RailShop) -> None:
    photos = [teach(rail, 400 + n, grade) for n, grade in enumerate(("grade_3", "grade_5"))]
    session = begin(rail, 2)
    shop = rail.shop
    first, second = (one.seed for one in session_of(shop.records, "photos").plan)
    assert {first, second} == set(photos)
    fields = hidden_fields(rail.client, f"{session}/1")
    remove_photo(shop.records, shop.settings.data_folder, first)
    review_photo(shop.records, second, SIGN, "", by="Leopold", at=shop.now())
    assert rail.client.get(f"{session}/1").location == f"{session}/2"
    assert rail.client.get(f"{session}/2").location == f"{session}/done"
    answer = rail.client.post(f"{session}/2", data={**fields, "answer": "grade_5"})
    assert answer.location == f"{session}/done"
    assert answers_of(shop.records, people(shop.records)[0].id) == ()
    assert rail.client.get(f"{session}/done").status_code == 200


def test_a_new_trainee_may_meet_a_photo_among_the_first_drills(
    rail: RailShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    photo = teach(rail, 400, "grade_4")
    monkeypatch.setattr("resale.web.training.views.all_drills", lambda _: ())
    fields = hidden_fields(rail.client, "/drill")
    started = rail.client.post("/drill/start", data=fields)
    key = started.location.split("/")[-2]
    plan = session_of(rail.shop.records, key).plan
    assert {(one.drill.family, one.seed) for one in plan} == {(FAMILY, photo)}
