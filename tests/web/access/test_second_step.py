"""The second step at the door, as a browser goes through it."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pyotp
import pytest
from bench_forms import csrf_token, hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in, stranger
from werkzeug.test import TestResponse

from resale.storage.people.invitations import make_entry_link
from resale.storage.people.passwords import set_password
from resale.storage.people.people import Person, add_person
from resale.storage.people.sessions import start_session
from resale.web import create_app
from resale.web.core.shop import Shop

GOOD = "linen buckle orchard"
STEP = timedelta(seconds=30)


@pytest.fixture
def lead(app: Flask) -> Person:
    shop = app.extensions["resale"]
    add_person(shop.records, "Ottoline", "owner", shop.now())
    person = add_person(shop.records, "Leopold", "lead", shop.now())
    set_password(shop.records, person, GOOD)
    return person


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch):
    """A clock that moves on by hand: a code is good in its half minute."""
    moved = [timedelta()]
    real = Shop.now
    monkeypatch.setattr(Shop, "now", lambda shop: real(shop) + moved[0])

    def on() -> None:
        moved[0] += 4 * STEP

    return on


def user_session(app: Flask, person: Person) -> FlaskClient:
    shop = app.extensions["resale"]
    client = stranger(app)
    with client.session_transaction() as session:
        session["_user_id"] = start_session(shop.records, person.id, "a test", shop.now())
        session["_fresh"] = True
    return client


def post(client: FlaskClient, path: str, page: str, **fields: str) -> TestResponse:
    return client.post(path, data={**hidden_fields(client, page), **fields})


def set_up(app: Flask, person: Person) -> tuple[pyotp.TOTP, list[str]]:
    """Set an app up as its owner does; give the app, and the codes for a bad day."""
    client, shop = user_session(app, person), app.extensions["resale"]
    begun = post(client, "/you/second/app", "/you/second", password=GOOD)
    page = client.get(begun.location).text
    assert "<svg" in page
    seed = re.search(r"<code>([A-Z2-7 ]+)</code>", page)
    assert seed is not None
    made = pyotp.TOTP(seed[1].replace(" ", ""))
    done = post(client, "/you/second/app/code", begun.location, code=made.at(shop.now()))
    codes = re.findall(r"<li><code>([A-Z2-7-]+)</code>", done.text)
    assert len(codes) == 8 and done.headers["Cache-Control"] == "no-store"
    assert codes[0] not in client.get("/you/second").text
    return made, codes


def knock(app: Flask) -> tuple[FlaskClient, TestResponse]:
    client = stranger(app)
    return client, post(client, "/sign-in", "/sign-in?next=/items", name="Leopold", password=GOOD)


def inside(client: FlaskClient) -> bool:
    return client.get("/items").status_code == 200


def test_a_password_alone_opens_nothing_once_a_second_step_is_set_up(
    app: Flask, lead: Person, clock
) -> None:
    """OWASP ASVS 5.0, 6.3.3."""
    made, _ = set_up(app, lead)
    clock()
    client, answer = knock(app)
    assert answer.location == "/sign-in/second" and not inside(client)
    assert post(client, "/sign-in/second", "/sign-in/second", code="123").status_code == 401
    assert not inside(client)
    now = app.extensions["resale"].now()
    done = post(client, "/sign-in/second", "/sign-in/second", code=made.at(now))
    assert (done.status_code, done.location) == (303, "/items") and inside(client)
    other, _ = knock(app)
    again = post(other, "/sign-in/second", "/sign-in/second", code=made.at(now))
    assert again.status_code == 401 and not inside(other)


def test_a_kept_code_opens_the_door_once(app: Flask, lead: Person) -> None:
    _, codes = set_up(app, lead)
    for expected in (303, 401):
        client, _ = knock(app)
        answer = post(client, "/sign-in/second", "/sign-in/second", code=codes[3])
        assert answer.status_code == expected
        assert inside(client) is (expected == 303)


def test_a_new_link_stands_for_a_password_and_not_for_the_second_step(
    app: Flask, lead: Person
) -> None:
    """OWASP ASVS 5.0, 6.4.3: a reset does not bypass the second factor."""
    set_up(app, lead)
    shop, client = app.extensions["resale"], stranger(app)
    path = f"/enter/{make_entry_link(shop.records, lead.id, shop.now())}"
    other = "seven ducks in a pond"
    answer = post(client, path, path, password=other, again=other)
    assert answer.location == "/sign-in/second" and not inside(client)


def test_guesses_at_the_second_step_are_counted_for_the_person(app: Flask, lead: Person) -> None:
    set_up(app, lead)
    for _ in range(3):
        client, _ = knock(app)
        told = [
            post(client, "/sign-in/second", "/sign-in/second", code=f"{n:06d}").status_code
            for n in range(2)
        ]
    assert told == [401, 401]
    client, _ = knock(app)
    page = {"csrf_token": csrf_token(client), "code": "1"}
    assert client.post("/sign-in/second", data=page).status_code == 429


def test_changing_it_asks_for_the_password_again(app: Flask, lead: Person) -> None:
    client = user_session(app, lead)
    for path in ("/you/second/app", "/you/second/passkey", "/you/second/codes"):
        answer = post(client, path, "/you/second", password="another")  # noqa: S106
        assert answer.status_code == 422 and "write it again" in words_of(answer)
    set_up(app, lead)
    page = client.get("/you/second").text
    off = re.search(r'action="(/you/second/\d+/off)"', page)
    assert off is not None
    assert post(client, off[1], "/you/second", password="x").status_code == 422  # noqa: S106
    assert post(client, off[1], "/you/second", password=GOOD).status_code == 303
    assert inside(knock(app)[0])


def test_an_owner_takes_a_lost_second_step_off_and_it_is_written_down(
    app: Flask, lead: Person
) -> None:
    set_up(app, lead)
    owner = signed_in(app, "owner")
    answer = post(owner, f"/team/{lead.id}/second-step-off", "/team")
    assert "/enter/" in answer.text
    assert inside(knock(app)[0])
    assert "took somebody" in words_of(owner.get("/deeds"))


def asks(app: Flask, whom: str) -> None:
    shop = app.extensions["resale"]
    asking = shop.settings.model_copy(update={"second_step": whom})
    app.extensions["resale"] = replace(shop, settings=asking)


def test_a_shop_may_ask_everybody_for_one(app: Flask, lead: Person) -> None:
    """OWASP ASVS 5.0, 6.3.3."""
    asks(app, "everybody")
    shop = app.extensions["resale"]
    sorter = add_person(shop.records, "Sunniva", "sorter", shop.now())
    set_password(shop.records, sorter, GOOD)
    for person in (sorter, lead):
        client = user_session(app, person)
        assert client.get("/bench/jacket").location == "/you/second"
        token = hidden_fields(client, "/you/second")
        assert client.post("/bench/jacket/save", data=token).status_code == 403
    set_up(app, sorter)
    assert inside(user_session(app, sorter))


def test_a_shop_may_ask_leads_and_owners_for_one(app: Flask, lead: Person) -> None:
    asks(app, "leads")
    client = user_session(app, lead)
    assert client.get("/items").location == "/you/second"
    token = hidden_fields(client, "/you/second")
    assert client.post("/ledger/prices/learn", data=token).status_code == 403
    assert signed_in(app, "sorter").get("/items").status_code == 200
    set_up(app, lead)
    assert inside(client)


def test_the_invented_shop_stays_open_to_its_first_visitor(copy_of_demo, tmp_path) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True, second_step=True)
    client = FlaskClient(app, app.response_class, use_cookies=True)
    assert client.get("/items").status_code == 200
