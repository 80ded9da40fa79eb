"""The Drill: a name, a short session, one card at a time, and what is kept of it."""

from __future__ import annotations

import re
from datetime import timedelta as span
from html import unescape

import pytest
from bench_forms import hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in

from resale.storage.people.drill_sessions import save_session
from resale.storage.people.drill_store import NewAnswer, answers_of, progress_of, record_answer
from resale.storage.people.people import people
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned
from resale.web.training.cards import all_drills, drill_question
from resale.web.training.progress import when_words

PILLS = Planned(Drill("pilling", 1, "", ("pilling",), "wear", 12.0), 7, "new")
COUNT = Planned(Drill("stitches", 1, "", ("stitch_density",), "collar", 30.0), 4, "new")
WORDS = Planned(Drill("card_zone", 1, "shirt_cuff", ("shirt_cuff",), "cuff", 8.0), 3, "due")
GONE = Planned(Drill("card_zone", 1, "no_such_sign", (), "cuff", 8.0), 3, "due")


@pytest.fixture
def nell(client: FlaskClient) -> dict[str, str]:
    """The token of the forms of somebody signed in."""
    return hidden_fields(client, "/drill")


@pytest.fixture
def session(app: Flask, client: FlaskClient, nell: dict[str, str]) -> str:
    """Address of a session of three known cards."""
    shop = app.extensions["resale"]
    person = people(shop.records)[0]
    save_session(shop.records, "known-session", person.id, (PILLS, COUNT, WORDS), shop.now())
    return "/drill/session/known-session"


def right_answer(app: Flask, planned: Planned) -> str:
    return drill_question(app.extensions["resale"].book, planned).truth


def wrong_answer(app: Flask, planned: Planned) -> str:
    card = drill_question(app.extensions["resale"].book, planned)
    return next(one.id for one in card.answers if one.id != card.truth)


def test_the_drill_stands_in_the_navigation_and_knows_who_practises(client: FlaskClient) -> None:
    assert 'href="/drill"' in client.get("/").text
    assert "Drill Ottoline" in words_of(client.get("/drill"))


def test_a_session_is_its_own_persons(app: Flask, session: str) -> None:
    other = signed_in(app, "lead")
    for answer in (
        other.get(f"{session}/1"),
        other.get(f"{session.removesuffix('/1')}/done"),
        other.post(f"{session}/1", data={**hidden_fields(other, "/drill"), "answer": "x"}),
    ):
        assert answer.status_code == 404
        assert "somebody else" in words_of(answer)


def test_a_new_trainee_gets_a_short_session_of_easy_cards(
    app: Flask, client: FlaskClient, nell: dict[str, str]
) -> None:
    page = client.post("/drill/start", data=nell, follow_redirects=True)
    count = int(re.findall(r"Card 1 of (\d+)", page.text)[0])
    assert 6 <= count <= 12
    assert "level 2" not in page.text and "Go on" not in page.text


def test_a_right_answer_shows_the_truth_drawn_over_the_picture_and_the_reason(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    before = client.get(f"{session}/1")
    assert "/pilling/1/7/plain.svg" in before.text and "shown.svg" not in before.text
    data = {**nell, "answer": right_answer(app, PILLS), "shown": "0"}
    after = client.post(f"{session}/1", data=data, follow_redirects=True)
    assert "Right." in words_of(after)
    assert "/pilling/1/7/shown.svg" in after.text
    why = drill_question(app.extensions["resale"].book, PILLS).why
    assert why in unescape(after.text)


def test_a_wrong_answer_says_so_calmly_with_what_was_said_and_what_is_true(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    data = {**nell, "answer": wrong_answer(app, PILLS), "shown": "0"}
    said = words_of(client.post(f"{session}/1", data=data, follow_redirects=True))
    card = drill_question(app.extensions["resale"].book, PILLS)
    assert "Not this time." in said
    assert f"{card.in_words(card.truth)}" in unescape(said)
    assert "You said:" in said


def test_an_answer_sent_twice_counts_once_and_the_first_holds(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    for answer in (wrong_answer(app, PILLS), right_answer(app, PILLS)):
        client.post(f"{session}/1", data={**nell, "answer": answer, "shown": "0"})
    records = app.extensions["resale"].records
    person = people(records)[0]
    assert [one.right for one in answers_of(records, person.id)] == [False]
    assert progress_of(records, person.id).drills["pilling/1"].answered == 1
    assert "Not this time." in words_of(client.get(f"{session}/1"))


@pytest.mark.parametrize("asked", [COUNT, WORDS], ids=["drawn", "in words"])
def test_what_was_answered_stays_beside_what_was_asked_whatever_a_newer_plan_has_there(
    app: Flask, client: FlaskClient, session: str, asked: Planned
) -> None:
    shop = app.extensions["resale"]
    question = drill_question(shop.book, asked)
    given = NewAnswer(
        "known-session/1",
        people(shop.records)[0].id,
        asked.drill,
        asked.seed,
        asked.drill.signal_ids,
        question.truth,
        question.truth,
        right=True,
        seconds=9,
    )
    assert record_answer(shop.records, given, shop.now())
    said = words_of(client.get(f"{session}/1"))
    assert question.question in said and "Right" in said
    assert drill_question(shop.book, PILLS).question not in said


@pytest.mark.parametrize(
    ("place", "answer", "sentence"),
    [
        (1, "", "this card has no such answer"),
        (1, "grade_99", "this card has no such answer"),
        (2, "", "no number was written"),
        (2, "many", "'many' is not a number"),
        (2, "-4", "'-4' is not a number"),
    ],
)
def test_an_answer_that_is_none_is_asked_again_and_not_counted(
    app: Flask,
    client: FlaskClient,
    session: str,
    nell: dict[str, str],
    place: int,
    answer: str,
    sentence: str,
) -> None:
    page = client.post(f"{session}/{place}", data={**nell, "answer": answer, "shown": "0"})
    assert page.status_code == 422
    assert sentence in unescape(words_of(page))
    records = app.extensions["resale"].records
    assert answers_of(records, people(records)[0].id) == ()


@pytest.mark.parametrize("written", ["10", " 10 ", "10.0", "10,0"])
def test_a_number_may_be_written_in_any_usual_way(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str], written: str
) -> None:
    assert right_answer(app, COUNT) == "10"
    data = {**nell, "answer": written, "shown": "0"}
    said = words_of(client.post(f"{session}/2", data=data, follow_redirects=True))
    assert "Right. 10 stitches" in said


def test_time_is_kept_for_the_schedule_and_never_shown(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    pages = [client.get(f"{session}/1")]
    for shown in ("soon", "0", "99999999999"):
        place = 1 + ("soon", "0", "99999999999").index(shown)
        planned = (PILLS, COUNT, WORDS)[place - 1]
        data = {**nell, "answer": right_answer(app, planned), "shown": shown}
        pages.append(client.post(f"{session}/{place}", data=data, follow_redirects=True))
    pages.append(client.get(f"{session}/done"))
    records = app.extensions["resale"].records
    kept = [one.seconds for one in answers_of(records, people(records)[0].id)]
    assert kept == [120.0, 120.0, 0.0]
    assert not any(re.search(r"\d+ s(econds?)?\b", words_of(page)) for page in pages)


def test_the_end_says_what_was_right_what_comes_back_and_what_to_look_at(
    app: Flask, client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    client.post(f"{session}/1", data={**nell, "answer": wrong_answer(app, PILLS), "shown": "0"})
    client.post(f"{session}/2", data={**nell, "answer": "10", "shown": "0"})
    said = words_of(client.get(f"{session}/done"))
    assert "1 of 2 right" in said
    assert "What comes back when" in said and "later today" in said
    assert "Worth a look on the next real item" in said and "Pilling" in said
    assert "Finish this session" in said
    home = words_of(client.get("/drill"))
    assert "By sign, the weakest first" in home and "2 met so far" in home


def test_a_session_that_is_not_there_gets_a_sentence(
    client: FlaskClient, session: str, nell: dict[str, str]
) -> None:
    for path in ("/drill/session/nothing/1", f"{session}/4", f"{session}/0"):
        assert client.get(path).status_code == 404
    assert "no session is kept here" in words_of(client.get("/drill/session/nothing/1"))


def test_a_card_of_a_rule_that_is_gone_says_so(
    app: Flask, client: FlaskClient, session: str
) -> None:
    shop = app.extensions["resale"]
    save_session(shop.records, "old-session", people(shop.records)[0].id, (GONE,), shop.now())
    answer = client.get("/drill/session/old-session/1")
    assert answer.status_code == 422
    assert "start a new session" in words_of(answer)


def test_a_drawing_may_be_kept_by_the_browser_and_is_not_sent_again(client: FlaskClient) -> None:
    path = "/drill/drawing/pilling/1/7/plain.svg"
    first = client.get(path)
    assert first.mimetype == "image/svg+xml"
    assert "max-age=604800" in first.headers["Cache-Control"]
    again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
    assert again.status_code == 304 and again.data == b""
    assert client.get(path.replace("plain", "shown")).data != first.data


@pytest.mark.parametrize("part", ["nothing/1/7/plain", "pilling/9/7/plain", "pilling/1/7/other"])
def test_a_drawing_that_is_not_there_is_not_found(client: FlaskClient, part: str) -> None:
    assert client.get(f"/drill/drawing/{part}.svg").status_code == 404


def test_every_drill_can_be_asked_and_its_truth_is_right(app: Flask) -> None:
    """One card of every drawn drill, and of every fortieth card in words."""
    book = app.extensions["resale"].book
    drills = all_drills(book)
    drawn = [one for one in drills if not one.about]
    assert len(drawn) >= 14 * 3
    for drill in [*drawn, *[one for one in drills if one.about][::40]]:
        card = drill_question(book, Planned(drill, 5, "new"))
        assert card.is_right(card.taken(card.truth)), drill
        assert card.in_words(card.truth) and card.question and card.why
        assert bool(card.alt) == (not drill.about)


def test_no_page_of_the_drill_carries_a_script_or_a_style_of_its_own(
    client: FlaskClient, session: str
) -> None:
    for path in ("/drill", f"{session}/1", f"{session}/3", f"{session}/done"):
        text = client.get(path).text
        assert " style=" not in text and "<style" not in text and "<script>" not in text


def test_when_something_comes_back_is_said_as_people_say_it() -> None:
    said = [span(minutes=-1), span(minutes=9), span(hours=20), span(days=3.4), span(days=40)]
    assert [when_words(one) for one in said] == [
        "next session",
        "later today",
        "tomorrow",
        "in 3 days",
        "in 6 weeks",
    ]
