"""A course from the lead's five minutes to the trainee's session, and what was misread today."""

from __future__ import annotations

import re
from datetime import timedelta
from html import unescape

import pytest
from bench_forms import csrf_token, hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import NAMES, signed_in

from resale.services.training.at_stake import stakes_for
from resale.storage.people.drill_sessions import save_session, session_of
from resale.storage.people.drill_store import answers_of, progress_of
from resale.storage.people.people import Person, person_named
from resale.storage.people.second_looks import NewLook, save_looks
from resale.storage.training.courses import courses
from resale.training.courses.course import first_week
from resale.training.drawings import make
from resale.training.practice.by_stake import CARDS
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned
from resale.training.stake.stakes import Stake
from resale.web.training.cards import drill_question, signal_name
from resale.web.training.progress import by_signal


@pytest.fixture
def lead(app: Flask) -> FlaskClient:
    return signed_in(app, "lead")


@pytest.fixture
def sorter(app: Flask) -> FlaskClient:
    return signed_in(app, "sorter")


def person(app: Flask, name: str = NAMES["sorter"]) -> Person:
    found = person_named(app.extensions["resale"].records, name)
    assert found is not None
    return found


def started(app: Flask, client: FlaskClient, about: str = "") -> list[tuple[str, str, str]]:
    """Begin a session: why each card came, its sign, and the reason."""
    data = {**hidden_fields(client, "/drill"), "about": about}
    path = client.post("/drill/start", data=data).location
    key = re.findall(r"/session/([^/]+)/", path)[0]
    plan = session_of(app.extensions["resale"].records, key).plan
    return [(one.why, one.sign, one.because) for one in plan]


def test_the_first_week_is_handed_out_and_the_trainee_practises_its_first_day(
    app: Flask, lead: FlaskClient, sorter: FlaskClient
) -> None:
    form = hidden_fields(lead, "/drill/courses/new")
    data = {**form, "key": "k", "shipped": "1", "person": str(person(app).id)}
    for _ in range(2):  # A form sent twice makes one course.
        page = lead.post("/drill/courses", data=data, follow_redirects=True)
    assert len(courses(app.extensions["resale"].records)) == 1
    assert "Not begun yet" in words_of(page) and NAMES["sorter"] in words_of(page)
    home = words_of(sorter.get("/drill"))
    assert ("First week" in home and "Moth" in home) or "moth" in home
    cards = started(app, sorter)
    assert len(cards) == first_week().cards
    first_day = set(first_week().days[0].signs)
    of_day = [sign for why, sign, _ in cards if sign in first_day]
    assert len(of_day) >= 0.6 * len(cards)
    assert any("Day 1 of your course" in because for *_, because in cards)


def test_a_course_of_ones_own_keeps_what_was_typed_when_something_is_missing(
    app: Flask, lead: FlaskClient
) -> None:
    data = {
        "csrf_token": csrf_token(lead),
        "sign": ["pilling", "stain", "no_such_sign"],
        "kind": "jacket",
        "days": "2",
        "cards": "9",
        "goal": "90",
    }
    page = lead.post("/drill/courses", data={**data, "name": " "})
    assert page.status_code == 422 and "the course has no name" in words_of(page)
    assert re.search(r'id="sign-stain"[^>]* checked', page.text)
    assert not re.search(r'id="sign-fading"[^>]* checked', page.text)
    for field, wrong in (("days", "0"), ("days", "many"), ("cards", "10"), ("sign", "")):
        answer = lead.post("/drill/courses", data={**data, "name": "Wear", field: wrong})
        assert answer.status_code == 422, field
    page = lead.post("/drill/courses", data={**data, "name": "Wear"}, follow_redirects=True)
    made = courses(app.extensions["resale"].records)[0].course
    assert [day.signs for day in made.days] == [("pilling",), ("stain",)]
    assert (made.cards, made.goal, made.kinds) == (9, 90, ("jacket",))
    assert "2 signs" not in words_of(page) and "goal 90" in words_of(page)


def test_a_sorter_makes_no_course_and_sees_only_their_own(
    app: Flask, lead: FlaskClient, sorter: FlaskClient
) -> None:
    assert sorter.get("/drill/courses").status_code == 403
    assert sorter.get("/drill/courses/mine").status_code == 302
    data = {**hidden_fields(lead, "/drill/courses/new"), "shipped": "1"}
    path = lead.post("/drill/courses", data={**data, "person": str(person(app).id)}).location
    assert "What must not come in" in words_of(sorter.get("/drill/courses/mine"))
    lead.post(f"{path}/people/{person(app).id}/end", data=hidden_fields(lead, path))
    assert "Nobody takes it now" in words_of(lead.get(path))
    assert sorter.get("/drill/courses/mine").status_code == 302


def read_by_sorter_then_lead(app: Flask, sorter: FlaskClient, lead: FlaskClient) -> str:
    """A jacket that the sorter calls clean of moth and unpilled; the lead sees pills."""
    reading = {"s-pilling": "grade_5", "s-fading": "grade_4"}
    form = {**new_form(sorter), **reading}
    sorter.post("/bench/jacket/save", data=form)
    shop = app.extensions["resale"]
    look = NewLook(
        "k1",
        "Q-00001",
        person(app, NAMES["lead"]).id,
        {"pilling": "grade_3", "fading": "grade_4"},
        {"pilling": "grade_5", "fading": "grade_4"},
        20.0,
    )
    save_looks(shop.records, [look], shop.now() + timedelta(seconds=5))
    return "Q-00001"


def test_what_was_misread_today_is_practised_today(
    app: Flask, sorter: FlaskClient, lead: FlaskClient
) -> None:
    assert "Practise what I misread today" not in words_of(sorter.get("/drill"))
    read_by_sorter_then_lead(app, sorter, lead)
    home = unescape(words_of(sorter.get("/drill")))
    assert "Practise what I misread today" in home and "pilling" in home
    assert "fading" not in home.split("Today a lead read otherwise")[1][:40]
    cards = started(app, sorter, "today")
    assert [sign for why, sign, _ in cards if why == "course"].count("pilling") >= 2
    said = next(because for why, sign, because in cards if sign == "pilling")
    assert "Today you read this otherwise than a lead did." in said
    assert "1 of 1 times" in said
    # Nobody else misread it.
    assert "misread today" not in words_of(lead.get("/drill"))


def test_a_misreading_on_the_bench_raises_what_is_at_stake_for_that_person(
    app: Flask, sorter: FlaskClient, lead: FlaskClient
) -> None:
    shop = app.extensions["resale"]
    before = stakes_for(shop, person(app), shop.now())
    read_by_sorter_then_lead(app, sorter, lead)
    now = shop.now() + timedelta(minutes=1)
    after = stakes_for(shop, person(app), now)
    others = stakes_for(shop, person(app, NAMES["lead"]), now)

    def far(stakes: dict[str, Stake], sign: str) -> float:
        return stakes[sign].misread / stakes[sign].met

    assert far(after, "pilling") > far(before, "pilling")
    assert far(after, "fading") < far(before, "fading")
    assert others["pilling"].money < after["pilling"].money


def test_each_card_says_why_it_came_and_a_wrong_answer_brings_the_pair_back(
    app: Flask, sorter: FlaskClient
) -> None:
    shop = app.extensions["resale"]
    path = sorter.post("/drill/start", data=hidden_fields(sorter, "/drill")).location
    key = re.findall(r"/session/([^/]+)/", path)[0]
    page = sorter.get(path)
    assert "Why this card?" in page.text
    plan = session_of(shop.records, key).plan
    assert len(plan) == CARDS
    place = next(n for n, one in enumerate(plan, 1) if not one.drill.about and n < 6)
    question = drill_question(shop.book, plan[place - 1])
    wrong = next((one.id for one in question.answers if one.id != question.truth), "999")
    data = {**hidden_fields(sorter, f"/drill/session/{key}/{place}"), "answer": wrong}
    sorter.post(f"/drill/session/{key}/{place}", data=data)
    back = sorter.get(f"/drill/session/{key}/{place + 2}")
    assert plan[place - 1].drill.family in back.text or "two come back" in words_of(back)
    assert "Card" in words_of(back) and f"of {len(plan)}" in words_of(back)
    # A page that still showed the card of before is not judged by the new one.
    stale = {**data, "seed": str(plan[place + 1].seed), "answer": "x"}
    answer = sorter.post(f"/drill/session/{key}/{place + 2}", data=stale)
    assert answer.status_code == 422 and "another one" in words_of(answer)


def test_a_wrong_answer_stands_beside_the_right_one_in_the_same_drawing(
    app: Flask, sorter: FlaskClient
) -> None:
    shop = app.extensions["resale"]
    one = Planned(Drill("guests", 1, "", ("mould", "pests"), "wear", 12.0), 5, "new")
    save_session(shop.records, "beside", person(app).id, (one, one, one, one), shop.now())
    truth = drill_question(shop.book, one).truth
    said = next(o for o in ("mould", "live", "lint") if o != truth)
    path = "/drill/session/beside/1"
    data = {**hidden_fields(sorter, path), "answer": said}
    page = sorter.post(path, data=data, follow_redirects=True)
    assert f"/guests/1/5/shown.svg?as={said}" in page.text
    taken = sorter.get(f"/drill/drawing/guests/1/5/shown.svg?as={said}").text
    right = sorter.get("/drill/drawing/guests/1/5/shown.svg").text
    cloth = re.compile(r'<rect x="0" y="0" width="6" height="6" fill="(#\w+)"')
    assert cloth.findall(taken) == cloth.findall(right) and taken != right
    # The reason is in what is read out: within the status that the way on is described by.
    status = re.search(r'id="verdict">(.*?)</div>', page.text, re.DOTALL)
    assert status and drill_question(shop.book, one).why in unescape(status[1])
    # The pair comes back two cards on, as one of the two.
    third = sorter.get("/drill/session/beside/3")
    assert "You took one of these for the other" in unescape(words_of(third))
    seed = re.findall(r"/guests/1/(\d+)/plain.svg", third.text)[0]
    assert make("guests", 1, int(seed)).truth in {truth, said}
    done = unescape(words_of(sorter.get("/drill/session/beside/done")))
    assert "Since before this session" in done and "now 0 of 1" in done
    states = progress_of(shop.records, person(app).id).drills
    assert set(states) == {"guests/1", f"guests/1/{'~'.join(sorted((truth, said)))}"}


def test_progress_is_credited_to_the_sign_that_the_exercise_trained(
    app: Flask, sorter: FlaskClient
) -> None:
    """'What are the teeth?' says nothing of the zip's fault, though its family trains both."""
    shop = app.extensions["resale"]
    zips = Planned(Drill("zip", 1, "", ("zip_make", "fly_zip", "zip_fault"), "hardware"), 3, "new")
    save_session(shop.records, "zips", person(app).id, (zips,), shop.now())
    path = "/drill/session/zips/1"
    answer = drill_question(shop.book, zips).truth
    sorter.post(path, data={**hidden_fields(sorter, path), "answer": answer})
    progress = words_of(sorter.get("/drill")).split("By sign, the weakest first")[1]
    assert "Main zip" in progress or "zip" in progress.lower()
    names = {one.name for one in by_signal(shop.book, answers_of(shop.records, person(app).id))}
    assert signal_name(shop.book, "zip_fault") not in names
    assert signal_name(shop.book, "zip_make") in names
