"""The Bench: pick the kind, look, price, save."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from bench_forms import Send, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from looked_over import looked_over
from markupsafe import escape

from resale.garments.rulebook.rule_book import load_rule_book
from resale.web import create_app


def test_the_first_screen_offers_every_kind_of_the_rule_book(client: FlaskClient) -> None:
    text = client.get("/").text
    for kind in load_rule_book().kinds.values():
        assert f'href="/bench/{kind.id}"' in text
        assert escape(kind.text.name) in text


# Kinds are laid out by one template: the longest two, and one that no sale has taught anything of.
@pytest.mark.parametrize("kind", ["jacket", "trousers", "rainwear"])
def test_every_signal_of_a_kind_is_a_fieldset_with_not_looked_at_first(
    client: FlaskClient, kind: str
) -> None:
    text = client.get(f"/bench/{kind}").text
    for signal in load_rule_book().kinds[kind].signals:
        assert '<fieldset class="sign' in text and f'id="sign-{signal.id}"' in text
        first = re.search(rf'name="s-{signal.id}" value="([^"]*)"( checked)?', text)
        assert first is not None
        assert first.groups() == ("", " checked")
        assert text.count(f'name="s-{signal.id}"') == len(signal.options) + 1


def test_a_tap_answers_with_the_ticket_and_not_with_a_page(send: Send) -> None:
    answer = send("look", live=True, s__cuff_buttons="working")
    assert answer.status_code == 200
    assert "<html" not in answer.text
    assert "Cuff buttons" in words_of(answer)
    assert 'id="next"' in answer.text and "hx-swap-oob" in answer.text


def test_without_javascript_the_whole_page_comes_back_with_what_was_picked(send: Send) -> None:
    answer = send("look", s__cuff_buttons="working", label="Harrowmere", note="lining repaired")
    assert "<html" in answer.text
    assert 'name="s-cuff_buttons" value="working" checked' in answer.text
    assert 'value="Harrowmere"' in answer.text and 'value="lining repaired"' in answer.text


def test_the_working_gives_the_estimate_to_the_cent_on_a_calculator(send: Send) -> None:
    answer = send(
        "look", live=True, s__cuff_buttons="working", s__stain="seen_2", s__front_canvas="full"
    )
    working = answer.text.split('class="factors"')[1].split("</table>")[0]
    cells = [
        Decimal(cell.strip().lstrip("×= ").replace(",", ""))
        for cell in re.findall(r"<td>([^<]+)</td>", working)
    ]
    start, *factors, estimate, _ticket = cells
    product = start
    for factor in factors:
        product *= factor
    assert round(product, 2) == estimate


def test_the_money_of_the_seam_adds_up_to_the_cent(send: Send) -> None:
    answer = send(
        "look", live=True, s__cuff_buttons="working", s__stain="hidden_4", s__odour="faint"
    )
    seam = answer.text.split('<table class="seam">')[1].split("</table>")[0]
    money = [
        Decimal(cell.replace("−", "-").replace("±", "").replace("+", ""))
        for cell in re.findall(r'<td class="money">([^<]+)</td>', seam)
    ]
    assert money[0] + sum(money[1:-1]) == money[-1]


def test_a_label_as_typed_is_graded_and_the_reading_is_said(send: Send) -> None:
    answer = send("look", live=True, m__fibre_shell="100% wool")
    assert 'id="said-fibre_shell"' in answer.text
    assert 'data-option="wool"' in answer.text


def test_a_count_is_read_over_the_gauge_picked_beside_it(send: Send) -> None:
    """By hand: 14 stitches over 1.25 in are 11.2 to the inch."""
    answer = send("look", live=True, m__stitch_density="14", g__stitch_density="folded_note")
    assert "11.2 to the inch" in words_of(answer)


def test_a_measure_goes_before_a_pick_by_hand(send: Send) -> None:
    answer = send("look", live=True, m__fibre_shell="100% wool", s__fibre_shell="acrylic")
    assert "Outer fibre , pure wool" in words_of(answer)


def test_a_working_cuff_and_a_sleeve_length_say_what_can_still_be_changed(send: Send) -> None:
    """Common practice, no source: 0.75 in either way, so 62 cm reaches 60.1 to 63.9 cm."""
    answer = send("look", live=True, s__cuff_buttons="working", f__cuff_buttons="62")
    assert "60.1 cm to 62" in words_of(answer)


def test_longer_sleeves_are_offered_only_on_cloth_that_was_measured(send: Send) -> None:
    """Common practice, no source: 35 mm turned up, less 10 mm for a new hem, give 2.5 cm."""
    unmeasured = send("look", live=True, s__cuff_buttons="sewn_on", f__cuff_buttons="62")
    assert "to 62 cm" in words_of(unmeasured)
    assert "measure it before you promise any" in words_of(unmeasured)
    measured = send(
        "look",
        live=True,
        s__cuff_buttons="sewn_on",
        f__cuff_buttons="62",
        m__sleeve_inside="35",
    )
    assert "to 64.5 cm" in words_of(measured)


def test_a_signal_asked_only_under_a_condition_is_left_out_where_it_does_not_hold(
    client: FlaskClient,
) -> None:
    fields = new_form(client)
    denim = {**fields, "s-denim_weight": "heavy", "s-denim_or_not": "denim"}
    other = {**denim, "s-denim_or_not": "other"}
    book = load_rule_book().kinds["trousers"]
    denim["s-denim_weight"] = other["s-denim_weight"] = book.by_id["denim_weight"].option_ids[-1]
    other["s-denim_or_not"] = next(
        one for one in book.by_id["denim_or_not"].option_ids if one != "denim"
    )
    live = {"HX-Request": "true"}
    asked = words_of(client.post("/bench/trousers/look", data=denim, headers=live))
    left = words_of(client.post("/bench/trousers/look", data=other, headers=live))
    assert "Denim: weight ," in asked
    assert "Denim: weight ," not in left


def test_looked_all_over_answers_none_to_the_damage_in_front(send: Send) -> None:
    answer = send("none/wear", s__stain="seen_1")
    assert 'name="s-stain" value="seen_1" checked' in answer.text
    assert 'name="s-hole" value="none" checked' in answer.text


def test_mould_holds_the_item_calmly_and_says_whom_to_ask(send: Send) -> None:
    mould = load_rule_book().kinds["jacket"].by_id["mould"]
    holding = next(one.id for one in mould.options if one.gate and one.gate.route == "hold")
    said = words_of(send("look", live=True, s__mould=holding))
    assert "Hold €" in said and "once a lead has cleared it" in said
    assert "hand it to a lead" in said
    assert mould.caution in said


def test_the_bench_says_when_nothing_is_worth_more_time(app: Flask, client: FlaskClient) -> None:
    shop = app.extensions["resale"]
    everything = {
        f"s-{signal.id}": signal.options[0].id for signal in shop.book.kinds["jacket"].signals
    }
    data = {**new_form(client), **everything}
    answer = client.post("/bench/jacket/look", data=data, headers={"HX-Request": "true"})
    assert "Not ready. Still to look at:" in words_of(answer)
    looked = {**data, **looked_over("jacket", {})}
    answer = client.post("/bench/jacket/look", data=looked, headers={"HX-Request": "true"})
    assert "Ready to ticket: nothing left is worth the time." in words_of(answer)


def test_the_band_says_that_it_rests_on_the_rule_book_alone(client: FlaskClient) -> None:
    said = words_of(client.get("/bench/shirt"))
    assert "Most sell between" in said
    assert "Rests on the rule book alone" in said


def test_an_invented_shop_says_so_on_every_screen(tmp_path_factory: pytest.TempPathFactory) -> None:
    client = create_app(tmp_path_factory.mktemp("shop"), invented=True).test_client()
    for path in ("/", "/bench/bag", "/items", "/nowhere"):
        assert "Invented shop: nothing here is real." in client.get(path).text


# From the Bench's own promise to old tablets: a page of any kind, all of it there without scripts.
HEAVIEST = 300_000


def test_no_page_of_the_bench_is_too_heavy(client: FlaskClient, app: Flask) -> None:
    book = app.extensions["resale"].book
    for kind in book.kinds.values():
        fields = new_form(client)
        answers = {f"s-{one.id}": one.option_ids[-1] for one in kind.signals}
        page = client.post(f"/bench/{kind.id}/look", data={**fields, **answers})
        assert page.status_code == 200 and len(page.data) < HEAVIEST, (kind.id, len(page.data))
