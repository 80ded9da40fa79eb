"""One look at a time asks what the list asks, and comes to the very same item."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from bench_forms import Send, words_of
from flask import Flask
from flask.testing import FlaskClient
from looked_over import FINE
from werkzeug.test import TestResponse

from resale.safety.looks import shipped_looks
from resale.safety.required_looks import required_looks
from resale.services.shop import Shop
from resale.storage.items.store import SavedValuation, item_numbered

# What this jacket is like; whatever else is asked gets the first answer that is no damage.
JACKET = {"label_standing": "premium", "stain": "hidden_2", "front_canvas": "full_canvas"}


@pytest.fixture
def shop(app: Flask) -> Shop:
    shop: Shop = app.extensions["resale"]
    return shop


def asked_in(answer: TestResponse) -> str:
    found = re.search(r'id="next" data-asked="([^"]*)"', answer.text)
    assert found
    return found[1]


def saved_as(shop: Shop, answer: TestResponse) -> SavedValuation:
    number = re.search(r"saved=(Q-\d+)", answer.headers["Location"])
    assert number
    return item_numbered(shop.records, number[1]).newest


def answer_of(shop: Shop, asked: str) -> dict[str, str]:
    """What a sorter says who has that jacket in hand."""
    kind = shop.kind("jacket")
    if asked == "nothing-found":
        every = required_looks(kind, {"kind": "jacket", "choices": {}, "looks": {}})
        return {f"{'s' if r.is_signal else 'k'}__{r.id}": r.harmless for r in every if r.harmless}
    if asked == "striking":
        return {"later": "striking"}
    if asked in kind.by_id:
        signal = kind.by_id[asked]
        fine = FINE.get(asked, "none" if "none" in signal.option_ids else signal.option_ids[-1])
        return {f"s__{asked}": JACKET.get(asked, fine)}
    return {f"k__{asked}": shipped_looks().by_id[asked].answers[0].id}


def begun(shop: Shop) -> dict[str, str]:
    """What is answered before the card; under a middling label nothing more is required."""
    looks = answer_of(shop, "nothing-found") | answer_of(shop, "look_child")
    return looks | {"s__label_standing": "middle"}


def way_through(shop: Shop, send: Send) -> Iterator[tuple[str, dict[str, str]]]:
    """Answer what is asked until enough was looked at; each question with the form after it."""
    form: dict[str, str] = {}
    while asked := asked_in(send("look", way="one", **form)):
        answered = answer_of(shop, asked)
        assert not answered.keys() <= form.keys(), f"{asked} is asked twice"
        form |= answered
        yield asked, form


def test_the_looks_before_a_ticket_are_asked_first_and_each_thing_once(
    shop: Shop, send: Send
) -> None:
    asked = [question for question, _ in way_through(shop, send)]
    assert asked[:2] == ["nothing-found", "look_child"]
    assert len(asked) == len(set(asked))
    assert set(asked[2:]) <= {*shop.kind("jacket").by_id, *shipped_looks().by_id, "striking"}
    # Further required looks hang on the label, so it is asked before the card.
    assert [one for one in asked if not one.startswith("look_")][1:3] == [
        "label_standing",
        "striking",
    ]


def test_one_at_a_time_comes_to_the_same_price_and_save_as_the_list(
    shop: Shop, send: Send, client: FlaskClient
) -> None:
    *_, (_, form) = way_through(shop, send)
    one = saved_as(shop, send("save", way="one", **form))
    client.set_cookie("bench_way", "list")
    send("look", key="f" * 32, **form)
    listed = saved_as(shop, send("save", key="f" * 32, **form))
    assert (one.valued, one.inputs) == (listed.valued, listed.inputs)
    assert one.inputs["choices"]["stain"] == "hidden_2"


def test_the_list_names_the_same_next_check(shop: Shop, send: Send) -> None:
    done = begun(shop) | answer_of(shop, "striking")
    one, listed = send("look", way="one", **done), send("look", way="list", **done)
    assert asked_in(one) == asked_in(listed)
    assert f'data-next="{asked_in(one)}"' in listed.text


def test_what_cannot_be_told_or_waits_is_not_asked_again(shop: Shop, send: Send) -> None:
    form = begun(shop)
    card = asked_in(send("look", **form))
    form |= {"later": card}
    first = asked_in(send("look", **form))
    second = asked_in(send("look", **form, **{"pass": f"untold {first}"}))
    third = asked_in(send("look", **form, untold=first, **{"pass": f"later {second}"}))
    assert len({card, first, second, third}) == 4
    form["later"] = f"{card} {second}"
    page = send("look", **form, untold=first, way="one")
    assert f'name="untold" value="{first}"' in page.text
    assert f'name="later" value="{card} {second}"' in page.text
    saved = saved_as(shop, send("save", **form, untold=first))
    assert saved.inputs["untold"] == [first]
    assert first not in saved.inputs["choices"]


def test_a_required_look_that_nobody_can_tell_still_stops_the_ticket(
    shop: Shop, send: Send
) -> None:
    form = answer_of(shop, "nothing-found")
    answer = send("look", live=True, **form, untold="look_child")
    assert asked_in(answer) != "look_child"
    assert "Still to look at: for a child?" in words_of(answer)
    assert (
        "look_child" in saved_as(shop, send("save", **form, untold="look_child")).inputs["unlooked"]
    )


def test_a_look_takes_back_that_nobody_could_tell(shop: Shop, send: Send) -> None:
    saved = saved_as(shop, send("save", untold="odour made_up", s__odour="none"))
    assert "untold" not in saved.inputs


def test_the_device_remembers_how_it_shows_the_bench(client: FlaskClient, send: Send) -> None:
    assert "one-look" not in client.get("/bench/jacket").text.split("<main")[0].split("<body")[1]
    send("look", way="one", hand="left")
    body = client.get("/bench/jacket").text.split("<body")[1].split(">")[0]
    assert "one-look" in body and "left-hand" in body
    send("look", way="sideways")
    assert "one-look" in client.get("/bench/bag").text.split("<body")[1].split(">")[0]
    send("look", way="list")
    assert "one-look" not in client.get("/bench/bag").text.split("<body")[1].split(">")[0]


def test_what_strikes_is_picked_from_the_card_and_is_the_same_as_in_the_list(
    shop: Shop, send: Send
) -> None:
    form = begun(shop)
    card = send("look", way="one", **form)
    assert asked_in(card) == "striking"
    assert 'value="set_whole two_piece" aria-pressed="false"' in card.text
    struck = send("look", way="one", **form, struck="set_whole two_piece")
    assert 'value="set_whole two_piece" aria-pressed="true"' in struck.text
    by_card = saved_as(shop, send("save", **form, struck="set_whole two_piece"))
    by_list = saved_as(shop, send("save", key="f" * 32, **form, s__set_whole="two_piece"))
    assert (by_card.valued, by_card.inputs) == (by_list.valued, by_list.inputs)
    odd = saved_as(shop, send("save", key="e" * 32, **form, struck="set_whole made_up"))
    assert "set_whole" not in odd.inputs["choices"]


def test_the_card_is_not_shown_for_what_was_saved_before_or_read_like_another(
    shop: Shop, send: Send
) -> None:
    form = begun(shop)
    assert asked_in(send("look", **form)) == "striking"
    number = send("save", **form).headers["Location"].split("saved=")[1]
    for more in ({"number": number}, {"like": number}):
        assert asked_in(send("look", **form, **more)) != "striking"


def test_what_was_on_the_card_is_asked_later_than_what_was_not(shop: Shop, send: Send) -> None:
    form = begun(shop)
    on_card = {one.signal.id for one in shop.striking["jacket"]}
    best = re.search(r'data-next="([^"]*)"', send("look", way="list", **form).text)
    assert best and best[1] in on_card
    assert asked_in(send("look", **form, later="striking")) not in on_card


def test_a_phone_begins_with_one_look_and_a_wide_screen_with_the_list(app: Flask) -> None:
    phone = {"User-Agent": "Browser/1.0 (Handset; Mobile) Mobi"}
    for headers, chosen, one in (
        (phone, "", True),
        (phone, "list", False),
        ({"Sec-CH-UA-Mobile": "?1"}, "", True),
        ({"Sec-CH-UA-Mobile": "?0", **phone}, "", False),
        ({}, "", False),
        ({}, "one", True),
    ):
        client = app.test_client()
        if chosen:
            client.set_cookie("bench_way", chosen)
        page = client.get("/bench/jacket", headers=headers).text
        assert ("one-look" in page[page.index("<body") :][:300]) == one
