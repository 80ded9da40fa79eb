"""Held on the screens: who may do what, and no ticket by any way while something is held."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from bench_forms import hidden_fields, new_form, words_of
from flask import Flask
from looked_over import looked_over
from rail_shop import FIRST_DAY, RailShop, clients_words
from signed_in import NAMES, signed_in

from resale.safety.holds import hold_called, shipped_holds
from resale.storage.ledger.holds import open_holds
from resale.storage.people.audit_log import audit_entries
from resale.web import create_app
from resale.web.safety.wording import STATUS_WORDS

SAID = "it is held"
LOOKED = looked_over("jacket", {})
REASON = "Cleaned by Somebody & Co., dry, on Monday"


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


@pytest.fixture(scope="module")
def one_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RailShop]:
    """One shop for what only looks at pages."""
    with pytest.MonkeyPatch.context() as patch:
        yield RailShop(create_app(tmp_path_factory.mktemp("shop")), patch)


def clear(rail: RailShop, number: str, hold: str = "mould", client=None, **more):
    client = client or rail.client
    form = hidden_fields(client, f"/held/{number}")
    said = {"confirmed": list(hold_called(hold).clear), "reason": REASON}
    own = {"csrf_token": form["csrf_token"], "key": more.pop("key", f"clear {number} {hold}")}
    return client.post(f"/held/{number}/{hold}/clear", data={**own, **said, **more})


def hold(rail: RailShop, number: str, hold_id: str, **more):
    form = hidden_fields(rail.client, f"/held/{number}")
    data = {"csrf_token": form["csrf_token"], "key": f"h {number} {hold_id}", "hold": hold_id}
    return rail.client.post(f"/held/{number}", data={**data, **more})


def open_ids(rail: RailShop, number: str) -> list[str]:
    return [one.rule.id for one in open_holds(rail.shop.records, [number]).get(number, ())]


def no_ticket(rail: RailShop, number: str) -> None:
    """Every way to a ticket or a sale answers with one sentence and writes nothing."""
    before = rail.what_happened(number)
    for path, more in (
        ("/rail/out", {"pick": number}),
        (f"/rail/ticket/{number}", {"price": "20"}),
        ("/rail/away", {"pick": number}),
        (f"/ledger/item/{number}", {"what": "sold", "amount": "20"}),
        (f"/ledger/item/{number}", {"what": "put_out", "amount": "20"}),
        (f"/ledger/item/{number}", {"what": "passed_on"}),
    ):
        answer = rail.post(path, **more)
        assert answer.status_code == 422, path
        assert SAID in words_of(answer) and "lead clears it" in words_of(answer), path
    printed = rail.client.get(f"/tickets/print?pick={number}")
    assert printed.status_code == 422 and SAID in words_of(printed)
    sheet = clients_words(rail.client, f"/tickets?pick={number}")
    assert f"{number} is held and gets no ticket" in sheet and "Get 1 ticket" not in sheet
    rail.post("/rail/reprice", pick=number)
    assert rail.what_happened(number) == before


# ---------------------------------------------------------------- every way
@pytest.mark.parametrize("how", ["signs", "label", "by hand", "on the bench"])
def test_no_way_leads_to_a_ticket_until_all_that_holds_it_is_cleared(
    rail: RailShop, how: str
) -> None:
    if how == "signs":
        number, hold_id = rail.save("jacket", mould="growth"), "mould"
    else:
        number, hold_id = rail.save("jacket", label_standing="premium"), "unknown_fur"
    if how == "label":
        fields = hidden_fields(rail.client, f"/bench/jacket?item={number}")
        data = {**fields, **LOOKED, "m-fibre_shell": "100% fur"}
        rail.client.post("/bench/jacket/save", data=data)
    if how == "by hand":
        assert hold(rail, number, hold_id).status_code == 303
    if how == "on the bench":
        fields = hidden_fields(rail.client, f"/bench/jacket?item={number}")
        data = {**fields, **LOOKED, "hold": hold_id, "hold-note": "long hair at the collar"}
        rail.client.post("/bench/jacket/save", data=data)
    assert open_ids(rail, number) == [hold_id]
    no_ticket(rail, number)
    choice = clients_words(rail.client, "/rail/choice")
    assert number not in choice
    assert clear(rail, number, hold_id).status_code == 303
    assert rail.client.get(f"/tickets/print?pick={number}").mimetype == "application/pdf"
    assert rail.post("/rail/out", pick=number).status_code == 303
    assert rail.what_happened(number)[-1][0] == "put_out"
    assert rail.post(f"/ledger/item/{number}", what="sold").status_code == 303


def test_what_hangs_and_is_held_cannot_be_sold_and_comes_off_the_rail(rail: RailShop) -> None:
    number = rail.save("jacket", label_standing="premium")
    rail.post("/rail/out", pick=number)
    hold(rail, number, "child_recall", note="on the list?")
    assert "Take it off the rail now" in clients_words(rail.client, f"/held/{number}")
    no_ticket(rail, number)
    today = rail.client.get("/tickets/print?today=1")
    assert today.status_code == 422
    page = rail.client.get(f"/ledger/item/{number}").text
    assert "Sold at" not in page and "Withdrawn to the back room" in page
    assert rail.post(f"/ledger/item/{number}", what="withdrawn").status_code == 303


def test_a_later_valuation_lifts_nothing_and_a_cleared_one_is_priced_by_its_route(
    rail: RailShop,
) -> None:
    number = rail.save("jacket", mould="growth", label_standing="premium")
    fields = hidden_fields(rail.client, f"/bench/jacket?item={number}")
    rail.client.post("/bench/jacket/save", data={**fields, **LOOKED})
    no_ticket(rail, number)
    clear(rail, number)
    assert number in clients_words(rail.client, "/rail?state=ready")


# ---------------------------------------------------------------- roles
def test_a_sorter_holds_and_a_lead_clears(rail: RailShop, app: Flask) -> None:
    number = rail.save("jacket", mould="growth")
    sorter, lead = signed_in(app, "sorter"), signed_in(app, "lead")
    page = sorter.get(f"/held/{number}")
    assert "A lead or the owner clears it" in words_of(page) and "/clear" not in page.text
    refused = clear(rail, number, client=sorter)
    assert refused.status_code == 403 and "a lead or the owner" in words_of(refused)
    form = hidden_fields(sorter, f"/held/{number}")
    own = {"csrf_token": form["csrf_token"], "key": "one"}
    assert sorter.post(f"/held/{number}/away", data=own).status_code == 403
    held = sorter.post(f"/held/{number}", data={**own, "hold": "sharps", "note": "a needle"})
    assert held.status_code == 303
    assert open_ids(rail, number) == ["sharps", "mould"]
    assert clear(rail, number, "sharps", client=lead).status_code == 303
    assert clear(rail, number, client=lead).status_code == 303
    told = [(one.by_whom, one.what, one.about) for one in audit_entries(rail.shop.records)]
    assert told[:3] == [
        (NAMES["lead"], "cleared a hold", number),
        (NAMES["lead"], "cleared a hold", number),
        (NAMES["sorter"], "held an item", number),
    ]
    said = clients_words(lead, f"/held/{number}")
    assert "Nothing holds it" in said and REASON in said.replace("&amp;", "&")


def test_only_leads_are_told_how_many_wait_on_the_bench(rail: RailShop, app: Flask) -> None:
    rail.save("jacket", mould="growth")
    assert "1 held, waiting for a lead" in clients_words(signed_in(app, "lead"), "/")
    assert "waiting for a lead" not in clients_words(signed_in(app, "sorter"), "/")


# ---------------------------------------------------------------- clearing
def test_what_is_missing_is_said_and_what_was_typed_stays(rail: RailShop) -> None:
    number = rail.save("jacket", mould="growth")
    point = hold_called("mould").clear[1]
    answer = clear(rail, number, confirmed=[point], reason="Aired & dried")
    assert answer.status_code == 422
    assert "not confirmed yet: Dry, no growth" in words_of(answer)
    assert 'value="Aired &amp; dried"' in answer.text
    assert len(re.findall(r'name="confirmed"[^>]* checked', answer.text)) == 1
    assert open_ids(rail, number) == ["mould"]


def test_cleared_twice_or_unknown_is_said(rail: RailShop) -> None:
    number = rail.save("jacket", mould="growth")
    assert clear(rail, number).status_code == 303
    assert clear(rail, number).status_code == 303
    again = clear(rail, number, key="another")
    assert again.status_code == 422 and "cleared it already" in words_of(again)
    unknown = clear(rail, number, "sharps")
    assert unknown.status_code == 422
    assert rail.client.get("/held/Q-99999").status_code == 404


def test_a_quarantine_runs_from_its_treatment_says_until_when_and_warns(rail: RailShop) -> None:
    number = rail.save("jacket", moth="hidden_2")
    assert "begins with its treatment, which nobody entered" in clients_words(
        rail.client, f"/held/{number}"
    )
    rail.later(3)
    unbegun = clear(rail, number, "moth", key="too soon")
    assert unbegun.status_code == 422 and "its quarantine has not begun" in words_of(unbegun)
    form = hidden_fields(rail.client, f"/held/{number}")
    own = {"csrf_token": form["csrf_token"], "key": "treated", "how": "-20 °C in the closed bag"}
    for day in ("soon", str(FIRST_DAY - timedelta(days=1))):
        wrong = rail.client.post(f"/held/{number}/moth/treated", data={**own, "day": day})
        assert wrong.status_code == 422
    begun = rail.client.post(f"/held/{number}/moth/treated", data={**own, "day": str(rail.day)})
    assert begun.status_code == 303
    until = rail.day + timedelta(days=shipped_holds()["moth"].days or 0)
    page = clients_words(rail.client, f"/held/{number}")
    assert f"waits until {until:%a} {until.day} {until:%b} {until.year}" in page
    assert "Clearing it now is early" in page
    early = clear(rail, number, "moth")
    assert early.status_code == 422 and f"runs until {until}" in words_of(early)
    rail.later(14)
    assert "Clearing it now is early" not in clients_words(rail.client, f"/held/{number}")
    assert clear(rail, number, "moth").status_code == 303


def test_held_goods_are_passed_on_by_a_lead_who_read_the_warning(rail: RailShop) -> None:
    number = rail.save("jacket", label_standing="premium")
    hold(rail, number, "child_recall")
    page = clients_words(rail.client, f"/held/{number}")
    assert "never give it away instead" in page
    refused = rail.post(f"/held/{number}/away", reason="to the maker")
    assert refused.status_code == 422 and "read what must never be done" in words_of(refused)
    assert 'value="to the maker"' in refused.text
    done = rail.post(f"/held/{number}/away", reason="to the maker", warned="1")
    assert done.status_code == 303
    last = rail.life(number).held[-1]
    assert (last.what, last.note, last.data) == (
        "passed_on",
        "to the maker",
        {"held": ["child_recall"]},
    )
    assert "Nothing is held" in clients_words(rail.client, "/held")


# ---------------------------------------------------------------- what is said
@pytest.mark.parametrize("hold_id", list(shipped_holds()))
def test_every_hold_says_all_that_its_file_says(one_shop: RailShop, hold_id: str) -> None:
    """The file has the sources, each with how well it was checked; the page shows them all."""
    rail = one_shop
    number = rail.save("jacket", label_standing="premium")
    hold(rail, number, hold_id, note="seen under the lamp")
    rule = shipped_holds()[hold_id]
    page = clients_words(rail.client, f"/held/{number}").replace("&#34;", '"')
    asks = [ask.sentence for ask in rule.ask]
    sources = [source.text for source in rule.sources]
    for words in (rule.why, rule.standing, *rule.do_now, *rule.never, *asks, *rule.clear, *sources):
        assert words in page, words
    for figure in rule.figures:
        assert f"{figure.said} ({STATUS_WORDS[figure.status]})" in page, figure
    for heading in ("Now", "Never", "Ask"):
        assert f"<h3>{heading}</h3>" in rail.client.get(f"/held/{number}").text
    slip = clients_words(rail.client, f"/held/{number}/slip")
    for words in ("HELD", number, rule.why, *rule.do_now, *rule.never, "lead or the owner clears"):
        assert words in slip, words
    row = clients_words(rail.client, "/held")
    for words in (number, rule.name, "seen under the lamp", rule.do_now[0], asks[0]):
        assert words in row, words


def test_the_bench_says_what_holds_before_and_after_the_save(rail: RailShop) -> None:
    fields = new_form(rail.client)
    data = {**fields, "m-fibre_shell": "100% fur"}
    live = rail.client.post("/bench/jacket/look", data=data, headers={"HX-Request": "true"})
    assert "Held: Fur, or parts of an animal" in words_of(live)
    saved = rail.client.post("/bench/jacket/save", data=data, follow_redirects=True)
    assert "held . Ready for the next" in words_of(saved).replace("held.", "held .")
    assert "Held: Fur" in words_of(saved) and "Slip for the bag" in words_of(saved)
    assert "held" in clients_words(rail.client, "/items")
    one = clients_words(rail.client, "/items/Q-00001")
    assert "once a lead has cleared it" in one and "Held: Fur" in one
    clear(rail, "Q-00001", "unknown_fur")
    one = clients_words(rail.client, "/items/Q-00001")
    assert "once a lead has cleared it" not in one and "a lead cleared it" in one


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"hold": "spoon"}, "the page offered a reason that is none"),
        ({"hold-note": "smells"}, "a note stands there without a reason"),
        ({"hold": "mould", "hold-note": "x" * 401}, "has 401 characters"),
    ],
)
def test_a_hold_on_the_bench_that_cannot_be_is_said(
    rail: RailShop, form: dict[str, str], sentence: str
) -> None:
    fields = new_form(rail.client)
    answer = rail.client.post("/bench/jacket/save", data={**fields, **form})
    assert answer.status_code == 422 and sentence in words_of(answer)
    assert form.get("hold-note", "") in answer.text


def test_holding_for_nothing_is_said(rail: RailShop) -> None:
    number = rail.save("jacket", label_standing="premium")
    none = hold(rail, number, "", note="smells of cellar")
    assert none.status_code == 422 and "choose one" in words_of(none)
    assert 'value="smells of cellar"' in none.text
    assert hold(rail, number, "spoon").status_code == 422
    twice = [hold(rail, number, "mould", key=key).location for key in ("a", "b")]
    assert [one.split("=")[-1] for one in twice] == ["held", "already"]
    no_slip = rail.save("jacket", label_standing="premium")
    assert "needs no slip" in words_of(rail.client.get(f"/held/{no_slip}/slip"))
