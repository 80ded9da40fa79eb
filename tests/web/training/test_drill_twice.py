"""Whole items, second looks and agreement: two readings of one thing, and what lies between."""

from __future__ import annotations

import csv
import re
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest
from bench_forms import Send, hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import NAMES, Lay, signed_in

from resale.config.paths import shipped
from resale.services.training.read_twice import leads_of
from resale.storage.items.readers import Reader, readers
from resale.storage.people.people import Role, add_person
from resale.storage.people.second_looks import NewLook, looks, save_looks
from resale.training.agreement.by_signal import Answer
from resale.web import create_app
from resale.web.admin.drill_demo import LOOKS
from resale.web.training.agreement_page import report_of
from resale.web.training.readings_twice import BENCH, answers_from

READING = {
    "s__cuff_buttons": "working",
    "s__odour": "none",
    "s__pilling": "grade_4",
    "s__jacket_vents": "double",
    "s__fading": "grade_5",
    "s__label_standing": "middle",
    "s__mould": "none",
    "s__pests": "none",
    "s__stain": "none",
    "s__hole": "none",
}


@pytest.fixture
def item(client: FlaskClient, send: Send) -> str:
    """A jacket that the owner saved on the bench, with ten signs or so."""
    send("save", **READING)
    return "Q-00001"


@pytest.fixture
def other(app: Flask) -> FlaskClient:
    """A sorter, who did not read that jacket."""
    return signed_in(app, "sorter")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Lay) -> Flask:
    return create_app(copy_of_demo(tmp_path_factory.mktemp("demo")), demo=True)


# Landis and Koch 1977, Biometrics 33, p. 165: the words for each range of kappa.
LANDIS_AND_KOCH = {
    "slight": (0.0, 0.2),
    "fair": (0.2, 0.4),
    "moderate": (0.4, 0.6),
    "substantial": (0.6, 0.8),
    "almost perfect": (0.8, 1.0),
}


def form_fields(reading: dict[str, str]) -> dict[str, str]:
    return {name.replace("__", "-"): value for name, value in reading.items()}


def form_of(client: FlaskClient, path: str, **more: str) -> dict[str, str]:
    return {**hidden_fields(client, path), **form_fields(more)}


# ---------------------------------------------------------------- whole items
def test_a_whole_item_needs_a_saved_item_with_enough_signs(client: FlaskClient) -> None:
    assert "No item to read yet" in words_of(client.get("/drill/whole"))


def test_the_item_is_laid_out_with_nobodys_answers_in_the_form(
    client: FlaskClient, item: str
) -> None:
    page = client.get("/drill/whole", follow_redirects=True)
    assert page.request.path == f"/drill/whole/{item}"
    checked = re.findall(r'value="([^"]*)" checked', page.text)
    assert set(checked) == {""}
    assert "Not at hand? The item in words" in words_of(page)


def test_a_reading_is_set_against_the_leads_to_the_cent(client: FlaskClient, item: str) -> None:
    path = f"/drill/whole/{item}"
    wrong = {**READING, "s__pilling": "grade_2"}
    del wrong["s__odour"]
    data = form_of(client, path, tier="sound", price="21,50", **wrong)
    page = client.post(path, data=data, follow_redirects=True)
    said = unescape(words_of(page))
    assert page.status_code == 200
    assert "Pilling 2 much of the area 4 first pills" in said
    assert "Odour not looked at" in said
    assert "You said Sound" in said and "You wrote €21.50" in said
    table = re.search(r"<tbody>(.*?)</tbody>", page.text, re.S).group(1)
    money = [
        round(float(one.replace("−", "-").replace("±", "").replace("+", "")) * 100)
        for one in re.findall(r'class="money">([^<]+)<', table)
    ]
    assert len(money) >= 3 and sum(money[:-1]) == money[-1]


def test_the_same_reading_differs_in_nothing(client: FlaskClient, item: str) -> None:
    path = f"/drill/whole/{item}"
    data = form_of(client, path, tier="sound", price="20", **READING)
    said = words_of(client.post(path, data=data, follow_redirects=True))
    assert "Every reading is the same as Ottoline’s." in said


def test_a_reading_without_tier_or_price_comes_back_with_what_was_answered(
    client: FlaskClient, item: str
) -> None:
    path = f"/drill/whole/{item}"
    page = client.post(path, data=form_of(client, path, price="a lot", **READING))
    assert page.status_code == 422
    said = words_of(page)
    assert "write the ticket price that you would give" in said
    assert "choose the tier that you would put it in" in said
    assert re.search(r'name="s-pilling" value="grade_4" checked', page.text)


# ---------------------------------------------------------------- second looks
def draw(client: FlaskClient) -> str:
    page = client.get("/drill/second-looks")
    path = re.search(r'<form method="post" action="([^"]+)"', page.text).group(1)
    client.post(path, data=hidden_fields(client, "/drill/second-looks"))
    return path


def test_an_empty_day_says_that_nothing_came_in(client: FlaskClient) -> None:
    assert "Nothing came in" in words_of(client.get("/drill/second-looks"))
    assert "on this day" in words_of(client.get("/drill/second-looks?day=2020-01-01"))


def test_a_second_look_is_blind_and_is_judged_once_it_is_kept(
    app: Flask, client: FlaskClient, other: FlaskClient, item: str
) -> None:
    day = draw(client)
    page = other.get(f"{day}/{item}")
    assert set(re.findall(r'value="([^"]*)" checked', page.text)) == {""}
    assert "grade_4&#34; checked" not in page.text
    assert "to be read again" in words_of(other.get("/drill/second-looks"))
    same = form_of(other, f"{day}/{item}", **READING)
    said = words_of(other.post(f"{day}/{item}", data=same, follow_redirects=True))
    assert "All 1 read again, 0 misread: the day passes." in said
    other.post(f"{day}/{item}", data={**same, "s-pilling": "grade_1"})
    kept = looks(app.extensions["resale"].records)
    assert [one.choices["pilling"] for one in kept] == ["grade_4"]
    assert kept[0].first["pilling"] == "grade_4"


def test_an_item_that_would_go_another_way_counts_as_misread(
    client: FlaskClient, other: FlaskClient, item: str
) -> None:
    day = draw(client)
    changed = {**READING, "s__mould": "growth", "s__pilling": "grade_1"}
    data = form_of(other, f"{day}/{item}", **changed)
    said = words_of(other.post(f"{day}/{item}", data=data, follow_redirects=True))
    assert "1 misread: look through the rest of the day too." in said
    assert "first “4 first pills”, then “1 dense all over”" in said


def test_a_second_look_at_nothing_is_not_kept(
    client: FlaskClient, other: FlaskClient, item: str
) -> None:
    day = draw(client)
    page = other.post(f"{day}/{item}", data=form_of(other, f"{day}/{item}"))
    assert page.status_code == 422
    assert "Nothing was looked at: answer at least one sign." in words_of(page)


def test_nobody_is_asked_to_look_again_at_what_they_read_first(
    app: Flask, client: FlaskClient, other: FlaskClient, item: str
) -> None:
    day = draw(client)
    listed = client.get("/drill/second-looks")
    assert f'href="{day}/{item}"' not in listed.text
    assert f"{item} you read it first: for somebody else" in words_of(listed)
    token = hidden_fields(client, "/drill")
    for answer in (
        client.get(f"{day}/{item}"),
        client.post(f"{day}/{item}", data={**token, "key": "k", **form_fields(READING)}),
    ):
        assert answer.status_code == 422
        assert f"you read {item} yourself" in words_of(answer)
    assert looks(app.extensions["resale"].records) == ()
    assert f'href="{day}/{item}"' in other.get("/drill/second-looks").text


def test_whoever_valued_it_again_has_read_it_too(
    app: Flask, client: FlaskClient, other: FlaskClient, item: str
) -> None:
    day = draw(client)
    form = {**new_form(other), "number": item, **form_fields(READING)}
    other.post("/bench/jacket/save", data=form)
    found = readers(app.extensions["resale"].records, [item])
    assert [one.name for one in found[item]] == [NAMES["owner"], NAMES["sorter"]]
    assert other.get(f"{day}/{item}").status_code == 422
    assert signed_in(app, "lead").get(f"{day}/{item}").status_code == 200


def test_an_item_outside_the_sample_is_not_asked_for(client: FlaskClient, item: str) -> None:
    day = draw(client)
    assert client.get(f"{day}/Q-00099").status_code == 404


def test_the_demo_shops_day_is_planned_by_the_table(demo: Flask) -> None:
    """ISO 2859-1, general level II: a lot of 151 to 280 has letter G, 32 items; at 4.0 Ac 3, Re 4.

    Letters and plans as in MIL-STD-105E; see resale/training/sampling_plans.toml.
    """
    client = demo.test_client()
    said = words_of(client.get("/drill/second-looks"))
    assert "Look again at 32 of 200 items; the day passes with at most 3 misread." in said
    assert "code letter G, sample 32, passes up to 3, fails from 4" in said
    strict = words_of(client.get("/drill/second-looks?level=1.0"))
    assert "Look again at 50 of 200 items; the day passes with at most 1 misread." in strict
    assert client.get("/drill/second-looks?level=3.3").status_code == 422


# ---------------------------------------------------------------- agreement
def test_a_shop_without_second_looks_is_told_so(client: FlaskClient) -> None:
    said = words_of(client.get("/drill/agreement"))
    assert "Too few items were looked at twice" in said


def test_the_agreement_page_tells_the_true_story_of_the_invented_sorters(demo: Flask) -> None:
    """What demo_data/second_looks.py built in, read back from the page alone."""
    with demo.app_context():
        report = report_of(demo.extensions["resale"])
    story = " ".join(report.first)
    assert report.leads == ("Orla",)
    assert "stitches to the inch most of all" in story
    assert re.search(r"Pilling: Brenn grades more kindly than Orla: on \d+ of \d+ items", story)
    assert "Button material: Dwyn gives the same answer as Orla" in story
    assert "Cato is right on" in story and "Haste may be why" in story
    by_name = {one.name: one for one in report.sorters}
    assert min(by_name, key=lambda name: by_name[name].seconds) == "Cato"
    assert min(by_name, key=lambda name: by_name[name].right) == "Cato"
    assert not any(one.haste.low > 0 for name, one in by_name.items() if name != "Cato")
    stitches = next(line for line in report.lines if line.agreement.signal.id == "stitch_density")
    assert stitches.agreement.alpha.value > 0.9 and not stitches.steady


def test_the_agreement_page_shows_each_figure_with_its_range_and_a_word(demo: Flask) -> None:
    said = unescape(words_of(demo.test_client().get("/drill/agreement")))
    words = "|".join(LANDIS_AND_KOCH)
    each = rf"0\.\d\d (0\.\d\d) to ([01]\.\d\d) ({words})(?: to ({words}))?"
    rows = re.findall(each, said)
    assert "Button material" in said and len(rows) >= 8
    for low, high, word, other in rows:
        for figure, said_of_it in ((low, word), (high, other or word)):
            least, most = LANDIS_AND_KOCH[said_of_it]
            assert least - 0.005 <= float(figure) <= most + 0.005, (figure, said_of_it)
    assert any(other for *_, other in rows)
    assert "convention (Landis and Koch 1977)" in said
    assert "a lead can be wrong too" in said
    assert "A reading keeps about" in said


def read_twice(app: Flask, item: str, name: str, role: Role, *, first_by: str) -> list[Answer]:
    """Answers after a second look at an item whose first reading is of somebody else."""
    shop = app.extensions["resale"]
    person = add_person(shop.records, name, role, shop.now())
    first = {"pilling": "grade_5", "fading": "gone"}
    new = NewLook("k", item, person.id, {"pilling": "grade_4"}, first, 9.0, shop.now().date())
    save_looks(shop.records, [new], shop.now() + timedelta(minutes=1))
    return answers_from(shop.book, looks(shop.records), {item: (Reader(first_by, shop.now()),)})


def test_first_readings_of_a_sample_enter_the_agreement(app: Flask, item: str) -> None:
    answers = read_twice(app, item, "Zora", "lead", first_by="")
    assert [(one.sorter, one.option) for one in answers] == [
        (BENCH, "grade_5"),
        ("Zora", "grade_4"),
    ]


def test_a_first_reading_is_that_of_whoever_made_it(app: Flask, item: str) -> None:
    answers = read_twice(app, item, "Zora", "lead", first_by="Brenn")
    assert [one.sorter for one in answers] == ["Brenn", "Zora"]


def test_who_read_it_first_counts_once(app: Flask, item: str) -> None:
    answers = read_twice(app, item, "Zora", "lead", first_by="Zora")
    assert [(one.sorter, one.option) for one in answers] == [("Zora", "grade_5")]


def test_what_the_lead_read_first_is_what_the_others_are_set_against(app: Flask) -> None:
    """Six jackets that the lead valued on the bench, read again by a sorter who sees more pills."""
    lead, shop = signed_in(app, "lead"), app.extensions["resale"]
    sorter = add_person(shop.records, "Wenna", "sorter", shop.now())
    many = []
    for number in range(1, 7):
        form = {**new_form(lead), **form_fields(READING)}
        lead.post("/bench/jacket/save", data=form)
        said = {"pilling": "grade_3", "fading": "grade_5"}
        first = {"pilling": "grade_4", "fading": "grade_5"}
        many.append(NewLook(f"k{number}", f"Q-0000{number}", sorter.id, said, first, 20.0))
    save_looks(shop.records, many, shop.now())
    with app.app_context():
        report = report_of(shop)
    assert report.leads == (NAMES["lead"],)
    assert [(one.name, one.items, one.right) for one in report.sorters] == [("Wenna", 6, 0.5)]


def test_whoever_may_lead_is_taken_for_a_lead(app: Flask, client: FlaskClient) -> None:
    with app.app_context():
        assert leads_of(app.extensions["resale"]) == {NAMES["owner"]}
        signed_in(app, "lead")
        assert leads_of(app.extensions["resale"]) == {NAMES["owner"], NAMES["lead"]}


def test_a_whole_item_to_practise_is_one_that_somebody_else_read(
    app: Flask, client: FlaskClient, other: FlaskClient, item: str
) -> None:
    other.post("/bench/jacket/save", data={**new_form(other), **form_fields(READING)})
    lead = signed_in(app, "lead")
    lead.post("/bench/jacket/save", data={**new_form(lead), **form_fields(READING)})
    for reader, wanted in ((other, {item, "Q-00003"}), (client, {"Q-00003"}), (lead, {item})):
        picked = {reader.get("/drill/whole").location.rsplit("/", 1)[1] for _ in range(8)}
        assert picked <= wanted
    path = f"/drill/whole/{item}"
    data = form_of(other, path, tier="sound", price="20", **READING)
    said = words_of(other.post(path, data=data, follow_redirects=True))
    assert f"set against the reading of {NAMES['owner']}" in said


def test_the_invented_people_are_laid_in_once(tmp_path: Path, copy_of_demo: Lay) -> None:
    with (shipped("demo_data") / LOOKS).open(encoding="utf-8", newline="") as file:
        rows = sum(1 for _ in csv.DictReader(file))
    folder = copy_of_demo(tmp_path)
    for _ in ("started", "started again"):
        shop = create_app(folder, demo=True).extensions["resale"]
        assert len(looks(shop.records)) == rows > 0
        shop.records.dispose()
