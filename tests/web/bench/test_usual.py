"""What is usual is accepted in one tap, kept as accepted, and moves neither price nor band."""

from __future__ import annotations

import re

import pytest
from bench_forms import Send, words_of
from flask import Flask

from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.required_looks import required_looks
from resale.services.items.usual import LEAST_SHARE, usual_answers
from resale.services.shop import Shop
from resale.storage.items.store import item_numbered

KINDS = load_rule_book().kinds


@pytest.mark.parametrize("kind", KINDS)
def test_only_signs_of_make_are_usual_and_nothing_that_must_be_looked_at(kind: str) -> None:
    book = KINDS[kind]
    usual = usual_answers(book, {})
    must = {one.id for one in required_looks(book, {"kind": kind, "choices": {}, "looks": {}})}
    assert usual
    assert not must & {one.signal.id for one in usual}
    for one in usual:
        assert one.signal.about == "build"
        assert one.option.share == max(option.share for option in one.signal.options)
        assert one.option.share >= LEAST_SHARE


def test_what_was_looked_at_is_not_offered() -> None:
    first = usual_answers(KINDS["jacket"], {})[0]
    other = next(one for one in first.signal.option_ids if one != first.option.id)
    after = usual_answers(KINDS["jacket"], {first.signal.id: other})
    assert first.signal.id not in {one.signal.id for one in after}


def test_one_tap_accepts_all_and_each_can_be_seen(send: Send) -> None:
    page = send("usual")
    usual = usual_answers(KINDS["jacket"], {})
    assert len(re.findall(r'name="a-[^>]* checked', page.text)) == len(usual)
    for one in usual:
        assert one.signal.name in words_of(page)
    assert f"{len(usual)} signs accepted as usual, not looked at" in words_of(page)


def test_accepted_is_kept_as_accepted_and_priced_as_not_looked_at(app: Flask, send: Send) -> None:
    shop: Shop = app.extensions["resale"]
    usual = usual_answers(KINDS["jacket"], {})
    accepted = {f"a__{one.signal.id}": one.option.id for one in usual}
    looked = usual[0].signal
    own = {f"s__{looked.id}": looked.option_ids[-1]}

    def saved(key: str, **form: str) -> dict[str, object]:
        where = send("save", key=key * 32, **form).headers["Location"]
        item = item_numbered(shop.records, where.rsplit("=", 1)[1]).newest
        return {"inputs": item.inputs, "valued": item.valued}

    bare, beside = saved("a", **own), saved("b", **own, **accepted)
    assert beside["valued"] == bare["valued"]
    kept = beside["inputs"]["usual"]  # type: ignore[index]
    assert kept == {one.signal.id: one.option.id for one in usual[1:]}
    assert not set(kept) & set(beside["inputs"]["choices"])  # type: ignore[index]
    assert "usual" not in bare["inputs"]  # type: ignore[operator]


def test_what_was_accepted_is_not_asked(send: Send) -> None:
    answer = send("usual")
    accepted = dict(re.findall(r'name="a-([^"]+)" value="([^"]+)" checked', answer.text))
    asked = re.findall(r'data-next="([^"]+)"', answer.text)
    assert asked and asked[0] not in accepted
