"""Leads against leads: a quarter's things, read blind by two, and a doubt that grows once."""

from __future__ import annotations

from html import unescape

from a_save import a_save, a_valued
from bench_forms import hidden_fields, words_of
from flask import Flask
from signed_in import signed_in
from writing import save_item

from resale.services.training.calibration import quarter_of, round_of
from resale.storage.models.rule_changes import changes_of
from resale.storage.people.calibration import add_calibration
from resale.storage.people.people import add_person
from resale.storage.people.second_looks import NewLook, save_looks

WHOLE = {
    "pilling": "grade_5",
    "fading": "grade_5",
    "odour": "none",
    "stain": "none",
    "hole": "none",
    "front_canvas": "glued",
    "lining_state": "sound",
    "cuff_buttons": "working",
}
HARSH, KIND = {"pilling": "grade_3", "odour": "none"}, {"pilling": "grade_5", "odour": "none"}


def test_two_leads_read_the_same_thing_and_the_page_says_how_far_they_part(app: Flask) -> None:
    shop = app.extensions["resale"]
    save_item(shop.records, a_save("one", valued=a_valued(**WHOLE)), shop.now())
    lead, owner = signed_in(app, "lead"), signed_in(app, "owner")
    lead.post("/drill/leads", data=hidden_fields(lead, "/drill/leads"))
    assert signed_in(app, "sorter").get("/drill/leads").status_code == 403
    for client, said in ((lead, HARSH), (owner, KIND)):
        assert "Q-00001 for you to read" in words_of(client.get("/drill/leads"))
        form = hidden_fields(client, "/drill/leads/Q-00001")
        assert "grade_3&#34; checked" not in client.get("/drill/leads/Q-00001").text
        form |= {f"s-{sign}": option for sign, option in said.items()}
        assert client.post("/drill/leads/Q-00001", data=form).status_code == 303
        # Once is enough: a second reading would not be blind.
        assert client.get("/drill/leads/Q-00001").status_code == 422
    page = unescape(words_of(lead.get("/drill/leads")))
    assert "apart Leopold, Ottoline: Pilling" in page
    assert "Signed in as Leopold" in page
    assert round_of(shop).things[0].apart > 0


def test_where_leads_part_often_the_books_doubt_grows_and_once_a_quarter(app: Flask) -> None:
    shop = app.extensions["resale"]
    both = [add_person(shop.records, name, "lead", shop.now()) for name in ("Ada", "Bo")]
    numbers = [save_item(shop.records, a_save(f"k{n}"), shop.now()) for n in range(24)]
    add_calibration(shop.records, "2020-Q1", tuple(numbers), "Ada", shop.now())
    for n, number in enumerate(numbers):
        said = (KIND, HARSH if n < 12 else KIND)
        many = [
            NewLook(f"{number}/{who.id}", number, who.id, one, {}, 9.0)
            for who, one in zip(both, said, strict=True)
        ]
        save_looks(shop.records, many, shop.now())
    (found,) = round_of(shop).doubts
    assert (found.signal.id, found.misread, found.checked) == ("pilling", 12, 24)
    lead = signed_in(app, "lead")
    token = hidden_fields(lead, "/drill/leads")
    assert lead.post("/drill/leads/doubt/pilling", data=token).status_code == 303
    changes = changes_of(shop.records)
    pilling = shop.book.kinds["jacket"].by_id["pilling"]
    assert changes and all(one.field == "doubt" and one.kind == "*" for one in changes)
    for one in changes:
        assert one.value > pilling.option(one.option).doubt
        assert "Leads parted on 12 of 24" in one.why
    assert "Its doubt grew this quarter." in words_of(lead.get("/drill/leads"))
    assert lead.post("/drill/leads/doubt/pilling", data=token).status_code == 422
    assert changes_of(shop.records) == changes
    assert quarter_of(changes[0].when) == round_of(shop).quarter
