"""From reading together to working alone and back, at the pages a lead and a sorter see."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from html import unescape

import pytest
from bench_forms import hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import NAMES, signed_in

from resale.services.actor import Actor
from resale.services.training.alone import standings
from resale.services.training.sampled import LEARNING_A_DAY
from resale.services.training.second_looks import draw_day
from resale.services.training.sessions import choose_for
from resale.services.training.set_right import signs_read
from resale.storage.items.readers import readers
from resale.storage.items.store import item_numbered
from resale.storage.people.introductions import Introduction, add_introduction
from resale.storage.people.people import add_person, person_named
from resale.storage.people.second_looks import NewLook, looks, sample_of, save_looks
from resale.training.oversight.read_again import costs_by_sign
from resale.training.practice.drawn_drills import drawn_drills
from resale.web.core.shop import Shop

LOOKED_OVER = {"s-mould": "none", "s-pests": "none", "s-hole": "none", "s-odour": "none"}
WORST = {"s-pilling": "grade_1", "s-front_canvas": "glued", "s-lining_state": "shredded"}
GOOD = {
    **LOOKED_OVER,
    "s-pilling": "grade_5",
    "s-front_canvas": "full_canvas",
    "s-lining_state": "sound",
}
BAD = {**GOOD, **WORST}
LEAD = Actor(NAMES["lead"], "lead")


class Clock:
    """The shop's own time, moved on by the test."""

    def __init__(self) -> None:
        self.at = datetime.now(UTC).replace(hour=12) - timedelta(days=40)

    def now(self) -> datetime:
        return self.at


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(Shop, "now", lambda _: clock.now())
    return clock


@pytest.fixture(autouse=True)
def people_here(clock: Clock, app: Flask) -> None:
    for role in ("lead", "sorter"):
        signed_in(app, role)


def bench(client: FlaskClient, reading: dict[str, str], many: int = 1) -> None:
    for _ in range(many):
        form = {**new_form(client), **reading}
        assert client.post("/bench/jacket/save", data=form).status_code == 303


def read_again(app: Flask, right: dict[str, str], *, by: str) -> int:
    """Draw today's items and read each drawn one again; gives how many."""
    shop = app.extensions["resale"]
    day = shop.here().date()
    draw_day(shop, LEAD, day, 4.0, seed=5)
    sample = sample_of(shop.records, day)
    assert sample is not None
    person = person_named(shop.records, by)
    assert person is not None
    said = {sign.removeprefix("s-"): option for sign, option in right.items()}
    many = []
    for number in sample.numbers:
        first = shop_first(shop, number)
        key = f"{day.isoformat()}/{number}"
        many.append(NewLook(key, number, person.id, said, first, 30.0, day))
    save_looks(shop.records, many, shop.now())
    return len(many)


def shop_first(shop: Shop, number: str) -> dict[str, str]:
    return dict(item_numbered(shop.records, number).newest.inputs["choices"])


def page_of(app: Flask, name: str) -> str:
    person = person_named(app.extensions["resale"].records, name)
    assert person is not None
    return unescape(words_of(signed_in(app, "lead").get(f"/drill/people/{person.id}")))


def a_day(app: Flask, clock: Clock, readings: list[dict[str, str]]) -> int:
    """A day at the bench, each thing truly good, read again by the lead."""
    sorter = signed_in(app, "sorter")
    for reading in readings:
        bench(sorter, reading)
    clock.at += timedelta(hours=1)
    count = read_again(app, GOOD, by=NAMES["lead"])
    clock.at += timedelta(hours=23)
    return count


def test_a_beginner_reads_together_and_is_let_alone_by_rule_and_word(
    app: Flask, clock: Clock
) -> None:
    assert a_day(app, clock, [GOOD] * 10) == LEARNING_A_DAY
    said = page_of(app, NAMES["sorter"])
    assert "Jacket: not yet 0 of 8 things read again were misread. 13 more" in said
    person = person_named(app.extensions["resale"].records, NAMES["sorter"])
    assert person is not None
    path = f"/drill/people/{person.id}"
    lead = signed_in(app, "lead")
    token = hidden_fields(lead, "/drill")
    refused = lead.post(f"{path}/alone/jacket", data=token)
    assert refused.status_code == 422 and "does not let Sunniva work alone" in words_of(refused)
    for _ in range(2):
        a_day(app, clock, [GOOD] * 8)
    assert "Jacket: can work alone 0 of 21 things" in page_of(app, NAMES["sorter"])
    lead, sorter = signed_in(app, "lead"), signed_in(app, "sorter")
    token = hidden_fields(lead, "/drill")
    own = unescape(words_of(sorter.get("/drill/people/me")))
    assert "can work alone" in own and "Let Sunniva work alone" not in own
    own_word = sorter.post(f"{path}/alone/jacket", data=hidden_fields(sorter, "/drill"))
    assert own_word.status_code == 403
    lead.post(f"{path}/alone/jacket", data=token)
    said = page_of(app, NAMES["sorter"])
    assert "Jacket: works alone Leopold said so: 0 of 21 things misread." in said
    assert "The normal plan of second looks holds" in said
    # From now on the day's plan draws, not the rule for beginners: of ten things three.
    assert a_day(app, clock, [GOOD] * 10) == 3
    lead = signed_in(app, "lead")
    token = hidden_fields(lead, "/drill")
    lead.post(f"{path}/together/jacket", data={**token, "why": "new shelf of coats"})
    said = page_of(app, NAMES["sorter"])
    assert "Jacket: reading together Leopold said so: new shelf of coats." in said
    assert a_day(app, clock, [GOOD] * 10) == LEARNING_A_DAY


@pytest.mark.long
def test_failed_days_bring_the_tightened_plan_and_end_working_alone(
    app: Flask, clock: Clock
) -> None:
    for _ in range(3):
        a_day(app, clock, [GOOD] * 8)
    shop = app.extensions["resale"]
    person = person_named(shop.records, NAMES["sorter"])
    assert person is not None
    path = f"/drill/people/{person.id}"
    lead = signed_in(app, "lead")
    lead.post(f"{path}/alone/jacket", data=hidden_fields(lead, "/drill"))
    for _ in range(2):
        a_day(app, clock, [BAD] * 10)
    assert standings(shop)[NAMES["sorter"]].switching.state == "tightened"
    # Ten things under the tightened plan: five are read again, not three.
    for _ in range(5):
        assert a_day(app, clock, [BAD] * 10) == 5
    said = page_of(app, NAMES["sorter"])
    assert "Working alone ended: 5 days failed under the tightened plan." in said
    assert a_day(app, clock, [GOOD] * 10) == LEARNING_A_DAY


def test_signs_passed_over_cost_money_and_hold_somebody_back(app: Flask, clock: Clock) -> None:
    """The three worst signs left open: 'holds' as long as only what both looked at was compared."""
    left_open = {sign: said for sign, said in GOOD.items() if sign not in WORST}
    bench(signed_in(app, "sorter"), left_open, many=3)
    read_again(app, BAD, by=NAMES["lead"])
    page = unescape(words_of(signed_in(app, "lead").get("/drill/second-looks")))
    assert page.count("passed over read again by Leopold") == 3
    said = page_of(app, NAMES["sorter"])
    assert "Jacket: look at it together 2 of 2 things read again were misread" in said
    assert "0 of 3 3 of 3" in said


def test_what_could_not_be_told_or_was_taken_as_usual_is_counted_by_its_own_name(
    app: Flask, clock: Clock
) -> None:
    """Three signs left open: one never looked at, one taken as usual, one not to be told; of the
    usual answers one is right, and a look would have said the same."""
    left_open = {sign: said for sign, said in GOOD.items() if sign not in WORST}
    said = {
        "untold": "pilling",
        "a-front_canvas": "full_canvas",
        "a-lapel_hole": "none",
    }
    bench(signed_in(app, "sorter"), {**left_open, **said})
    read_again(app, {**BAD, "s-lapel_hole": "none"}, by=NAMES["lead"])
    page = unescape(words_of(signed_in(app, "lead").get("/drill/second-looks")))
    assert "1 sign passed over; 1 taken as usual and not so; 1 could not be told at first" in page
    (one,) = standings(app.extensions["resale"])[NAMES["sorter"]].things
    costs = {each.signal.id: each for each in costs_by_sign([one])}
    assert (costs["front_canvas"].accepted, costs["pilling"].untold) == (1, 1)
    assert costs["lining_state"].passed_over == 1 and costs["lapel_hole"].money == 0
    about = page_of(app, NAMES["sorter"])
    assert "to accept is not to look" in about and "no fault of looking" in about


def test_a_third_reader_settles_what_two_sorters_part_on(app: Flask, clock: Clock) -> None:
    shop = app.extensions["resale"]
    wenna = add_person(shop.records, "Wenna", "sorter", shop.now())
    lead, sorter = signed_in(app, "lead"), signed_in(app, "sorter")
    bench(sorter, GOOD)
    clock.at += timedelta(hours=1)
    read_again(app, BAD, by=wenna.name)
    day = shop.here().date().isoformat()
    page = words_of(lead.get("/drill/second-looks"))
    assert "the two part: a third look settles it" in page
    assert standings(shop)[NAMES["sorter"]].things[0].waits
    path = f"/drill/second-looks/{day}/Q-00001"
    assert sorter.get(path).status_code == 422
    form = {**hidden_fields(lead, path), **GOOD}
    assert lead.post(path, data=form).status_code == 303
    assert len(looks(shop.records)) == 2
    assert readers(shop.records, ["Q-00001"])["Q-00001"][0].name == NAMES["sorter"]
    first, other = (standings(shop)[name].things for name in (NAMES["sorter"], "Wenna"))
    assert not first[0].misread and other[0].misread
    # What they are given to practise rests on the same answer.
    read = {(one.person, one.sign): (one.read, one.true) for one in signs_read(shop, shop.now())}
    assert read[NAMES["sorter"], "pilling"] == ("grade_5", "grade_5")
    assert read["Wenna", "pilling"] == ("grade_1", "grade_5")
    wrong = {one.signal.id for one in other[0].found.differences}
    assert {sign for (who, sign), (a, b) in read.items() if who == "Wenna" and a != b} == wrong
    assert signed_in(app, "owner").get(path).status_code == 422


def test_a_sign_is_not_drilled_before_the_day_that_was_stated(app: Flask, clock: Clock) -> None:
    shop = app.extensions["resale"]
    person = person_named(shop.records, NAMES["sorter"])
    assert person is not None
    drills = drawn_drills()
    signs = sorted({sign for one in drills for sign in one.signal_ids})
    today = shop.here().date()
    early, late = signs[::2], signs[1::2]
    starts = dict.fromkeys(early, today) | {sign: today + timedelta(days=14) for sign in late}
    add_introduction(shop.records, Introduction(person.id, starts, NAMES["lead"], clock.at))

    def drilled() -> set[str]:
        chosen = choose_for(shop, person, drills, shop.here(), cards=12, about=late[:3])
        return {sign for one in chosen for sign in one.drill.signal_ids}

    assert drilled() and not drilled().intersection(late)
    clock.at += timedelta(days=15)
    assert drilled().intersection(late[:3])
