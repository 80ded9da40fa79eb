"""How our people are coming on: a lead sees everybody, a sorter only their own."""

from __future__ import annotations

import csv
import re
import sys
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest
from bench_forms import words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import Lay, signed_in
from statsmodels.stats.proportion import proportion_confint

from resale.config.paths import shipped
from resale.services.training.helped import helped
from resale.storage.people.drill_store import NewAnswer, answers_of, record_answers
from resale.storage.people.people import people, person_named
from resale.training.practice.schedule import Drill
from resale.web import create_app
from resale.web.admin.drill_demo import LOOKS
from resale.web.training.progress import ago_words
from resale.web.training.team_progress import upper_share

sys.path.insert(0, str(Path(__file__).parents[3] / "demo_data"))

import second_looks

PILLS = Drill("pilling", 1, "", ("pilling",), "wear", 12.0)
FADE = Drill("fade", 1, "", ("fading",), "wear", 12.0)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Lay) -> Flask:
    return create_app(copy_of_demo(tmp_path_factory.mktemp("demo")), demo=True)


def said(client: FlaskClient, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return unescape(words_of(answer))


def address_of(app: Flask, name: str) -> str:
    person = person_named(app.extensions["resale"].records, name)
    assert person is not None
    return f"/drill/people/{person.id}"


def practise(app: Flask, name: str, drill: Drill, right: list[bool], days_ago: float) -> None:
    shop = app.extensions["resale"]
    person = person_named(shop.records, name)
    assert person is not None
    at = shop.now() - timedelta(days=days_ago)
    many = [
        (
            NewAnswer(
                f"{name}/{drill.family}/{days_ago}/{place}",
                person.id,
                drill,
                place,
                drill.signal_ids,
                "a",
                "b",
                one,
                9.0,
            ),
            at + timedelta(seconds=20 * place),
        )
        for place, one in enumerate(right)
    ]
    assert record_answers(shop.records, many) == len(many)
    assert record_answers(shop.records, many) == 0


# ---------------------------------------------------------------- who may look
def test_a_lead_finds_the_way_there_and_a_sorter_does_not(app: Flask) -> None:
    lead, sorter = signed_in(app, "lead"), signed_in(app, "sorter")
    assert 'href="/drill/people"' in lead.get("/drill").text
    assert 'href="/drill/people"' not in sorter.get("/drill").text
    for path in ("/drill/people", address_of(app, "Sunniva"), address_of(app, "Leopold")):
        assert lead.get(path).status_code == 200
        assert sorter.get(path).status_code == 403


def test_a_number_that_is_nobody_gets_a_sentence(client: FlaskClient) -> None:
    answer = client.get("/drill/people/99")
    assert answer.status_code == 404
    assert "nobody of this number works here" in words_of(answer)


# ---------------------------------------------------------------- what is said
def test_before_anybody_practised_the_page_says_so(app: Flask, client: FlaskClient) -> None:
    assert "Nobody sorts here yet" in said(client, "/drill/people")
    signed_in(app, "sorter")
    text = said(client, "/drill/people")
    assert "Nobody has practised yet." in text
    assert "Sunniva sorter Has not practised yet." in text
    assert "Has not practised yet." in said(client, address_of(app, "Sunniva"))


def test_the_start_is_set_against_now_and_weak_signs_are_named(
    app: Flask, client: FlaskClient
) -> None:
    signed_in(app, "sorter")
    practise(app, "Sunniva", PILLS, [True, False, False] * 10, 9)
    practise(app, "Sunniva", FADE, [True, True, True, True, False] * 6, 2)
    text = said(client, "/drill/people")
    assert "1 of 1 practised in the last 7 days." in text
    assert "33% right of the first 30 answers, 80% of the last 30." in text
    assert "Last practised 2 days ago" in text
    assert re.search(r"Pilling 30 percent look again", text)
    own = said(client, address_of(app, "Sunniva"))
    assert "60 answers to 2 drills." in own and "By zone" in own


def test_few_answers_are_counted_and_not_compared(app: Flask, client: FlaskClient) -> None:
    signed_in(app, "sorter")
    practise(app, "Sunniva", PILLS, [True, False] * 4, 0)
    assert "50% right of 8 answers so far. Last practised today" in said(client, "/drill/people")


# ---------------------------------------------------------------- the invented shop
def test_the_invented_sorters_tell_their_story(demo: Flask) -> None:
    """What demo_data/drill_answers.py and second_looks.py built in, read back from the pages."""
    client = demo.test_client()
    text = said(client, "/drill/people")
    assert "2 of 3 practised in the last 7 days." in text
    assert "Last practised 9 days ago" in text
    assert "Perpetua sorter" not in text
    brenn = said(client, address_of(demo, "Brenn"))
    assert re.search(r"Weakest signs of Brenn .*Pilling \d+ percent look again", text)
    assert re.search(
        r"On real items Pilling: Brenn grades more kindly than Orla: on \d+ of \d+ items", brenn
    )
    dwyn = said(client, address_of(demo, "Dwyn"))
    assert re.search(r"Weakest signs of Dwyn .*Button material \d+ percent look again", text)
    shares = re.search(r"(\d+)% right of the first 30 answers, (\d+)% of the last", dwyn)
    assert shares and int(shares[2]) >= int(shares[1]) + 10


def test_what_drilling_did_to_the_invented_two_is_found(demo: Flask) -> None:
    """Built in: Brenn read drilled signs wrong one time in four more before, Dwyn no more often."""
    shop = demo.extensions["resale"]
    who = {one.name: one for one in people(shop.records)}
    brenn, dwyn = (helped(shop, who[name]).effect for name in ("Brenn", "Dwyn"))
    assert brenn is not None and dwyn is not None
    assert brenn.low < -second_looks.BEFORE_DRILL < brenn.high < 0 < -brenn.low < 0.5
    assert dwyn.low < 0 < dwyn.high
    client = demo.test_client()
    assert "Drilling helps: of a hundred looks, about" in said(client, address_of(demo, "Brenn"))
    assert "No sign yet that drilling helps" in said(client, address_of(demo, "Dwyn"))
    assert "in an order that is drawn and written down before" in said(
        client, address_of(demo, "Cato")
    )


def test_what_cato_passes_over_is_told_apart_from_what_he_misreads(demo: Flask) -> None:
    text = said(demo.test_client(), address_of(demo, "Cato"))
    row = re.search(r"Seams on the inside (\d+) of (\d+) (\d+) of \d+ \d+ \d+ €(\d+)", text)
    with (shipped("demo_data") / LOOKS).open(encoding="utf-8", newline="") as file:
        rows = [one for one in csv.DictReader(file) if one["sorter"] in ("Orla", "Cato")]
    lead = {one["item"]: one["seam_inside"] for one in rows if one["sorter"] == "Orla"}
    mine = {one["item"]: one["seam_inside"] for one in rows if one["sorter"] == "Cato"}
    asked = [item for item, option in lead.items() if option]
    passed = sum(not mine[item] for item in asked)
    wrong = sum(mine[item] not in ("", lead[item]) for item in asked)
    assert row and tuple(map(int, row.groups()[:3])) == (wrong, len(asked), passed)
    assert passed > 5


def test_a_sorter_of_the_invented_shop_sees_progress_of_their_own(demo: Flask) -> None:
    client = signed_in(demo, "sorter")
    assert "Drill Brenn" in said(client, "/drill")
    assert "look again" in said(client, "/drill")
    assert client.get(address_of(demo, "Cato")).status_code == 403


def test_the_invented_answers_lie_in_the_past_and_are_laid_in_once(demo: Flask) -> None:
    shop = demo.extensions["resale"]
    folder = shop.settings.data_folder
    count = {one.name: len(answers_of(shop.records, one.id)) for one in people(shop.records)}
    assert count["Orla"] == count["Perpetua"] == 0
    assert min(count[name] for name in ("Brenn", "Cato", "Dwyn")) >= 60
    for one in people(shop.records):
        assert all(each.made_at < shop.now() for each in answers_of(shop.records, one.id))
    again = create_app(folder, demo=True).extensions["resale"]
    assert {one.name: len(answers_of(again.records, one.id)) for one in people(again.records)} == (
        count
    )


def test_the_upper_end_of_a_share_is_that_of_another_library() -> None:
    """statsmodels, proportion_confint by Wilson's method, 80 % on two sides."""
    for right, of in ((0, 4), (1, 3), (5, 15), (9, 10), (20, 20)):
        _, theirs = proportion_confint(right, of, alpha=0.2, method="wilson")
        assert upper_share(right, of) == pytest.approx(theirs, abs=5e-5)


def test_a_slip_or_two_makes_nobody_weak(app: Flask, client: FlaskClient) -> None:
    signed_in(app, "sorter")
    practise(app, "Sunniva", PILLS, [False, True], 1)
    assert "Nothing stands out as weak." in said(client, "/drill/people")


def test_how_long_ago_is_said_as_people_say_it() -> None:
    spans = [timedelta(hours=3), timedelta(hours=20), timedelta(days=9), timedelta(days=40)]
    assert [ago_words(one) for one in spans] == ["today", "yesterday", "9 days ago", "6 weeks ago"]
