"""The gauge of make beside the price: where it stands, what it rests on."""

from __future__ import annotations

import re

from bench_forms import Send, words_of
from flask import Flask

from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.explanation import explain
from resale.web.core.make_gauge import MakeGauge, make_gauge

FINE = {
    "front_canvas": "full_canvas",
    "sleeve_set": "hand_set",
    "under_collar": "hand_felled",
    "pick_stitching": "by_hand",
}
PLAIN = {"front_canvas": "glued", "under_collar": "fused_edge", "cloth_hand": "thin_limp"}


def gauge(app: Flask, choices: dict[str, str]) -> MakeGauge:
    shop = app.extensions["resale"]
    valued = explain(shop.valuer, one_reading(shop.book, "jacket", choices))
    found = make_gauge(valued)
    assert found is not None
    return found


def test_what_is_made_better_stands_further_along_and_more_looks_are_surer(app: Flask) -> None:
    nothing, plain, fine = (gauge(app, choices) for choices in ({}, PLAIN, FINE))
    assert plain.place < nothing.place == 50 < fine.place
    assert fine.high - fine.low < nothing.high - nothing.low
    assert (nothing.looked, fine.looked) == (0, 4)
    assert nothing.words == "Nothing yet says how well it is made"
    assert fine.words == "Finely made for its kind"
    assert "lainer" in plain.words or "lainly" in plain.words


def test_it_names_the_signs_that_say_most(app: Flask) -> None:
    found = gauge(app, FINE)
    assert found.rests_on.count("(") == 3
    assert " and " in found.rests_on
    assert "front" in found.rests_on
    assert found.money > 0


def test_the_bench_draws_it_and_says_the_same_in_words(send: Send) -> None:
    answer = send("look", live=True, **{f"s__{sign}": option for sign, option in FINE.items()})
    assert 'class="make-gauge"' in answer.text
    said = words_of(answer)
    assert "Finely made for its kind: 4 of" in said
    assert "They speak of one thing" in said
    drawing = answer.text.split('class="make-gauge"')[1].split("</svg>")[0]
    places = [float(x) for x in re.findall(r'make-doubt" x1="([\d.]+)%" x2="([\d.]+)%', drawing)[0]]
    assert 50 < places[0] < places[1] <= 100


def test_without_a_sign_of_make_it_says_so(send: Send) -> None:
    said = words_of(send("look", live=True))
    assert "Nothing yet says how well it is made" in said
    assert "make-mark" not in send("look", live=True).text
