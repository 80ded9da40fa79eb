"""The Rail by its forms alone: price, choose, put out, mark down, pass on, price anew."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from flask import Flask
from rail_shop import RailShop, clients_words

from resale.pricing.valuation.valuer import Valuer
from resale.selling.rail.balance import rail_width

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def proposed(rail: RailShop, number: str) -> str:
    """Ticket price that the table proposes for an item, as it stands in its field."""
    text = rail.client.get("/rail?state=all").text
    row = text.split(f'<tr id="{number}">')[1].split("</tr>")[0]
    return re.search(r'name="price"[^>]* value="([^"]+)"', row)[1]


def test_what_was_saved_on_the_bench_waits_on_the_rail_with_a_price_proposed(
    rail: RailShop,
) -> None:
    number = rail.save("jacket", "52", **GOOD)
    said = clients_words(rail.client, "/rail")
    assert number in said and "Ready 1" in said
    assert float(proposed(rail, number)) > 0


def test_putting_out_writes_ticket_and_put_out_with_the_plan(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    asked = round(100 * float(proposed(rail, number)))
    answer = rail.post("/rail/out", pick=[number])
    assert answer.status_code == 303
    steps = rail.what_happened(number)
    assert steps == [("taken_in", None), ("ticketed", asked), ("put_out", asked)]
    plan = rail.life(number).held[-1].data["plan"]
    assert plan[0] == asked and len(plan) == rail.shop.settings.periods
    assert "1 put out" in clients_words(rail.client, answer.location)


def test_the_same_form_sent_twice_puts_out_once(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    for _ in range(2):
        assert rail.post("/rail/out", key="one-form", pick=[number]).status_code == 303
    assert [what for what, _ in rail.what_happened(number)].count("put_out") == 1


def test_a_price_typed_in_a_row_is_written_and_kept_when_it_goes_out(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    answer = rail.post(
        f"/rail/ticket/{number}", price="€ 31,50", reason="a fair day", state="ready", sort="net"
    )
    assert answer.location == f"/rail?sort=net#{number}"
    rail.post("/rail/out", pick=[number])
    steps = rail.what_happened(number)
    assert steps == [("taken_in", None), ("ticketed", 3150), ("put_out", 3150)]
    rail.post(f"/rail/ticket/{number}", price="20", reason="a stain by the door")
    rail.post(f"/rail/ticket/{number}", price="24", reason="washed out")
    assert rail.what_happened(number)[-2:] == [("marked_down", 2000), ("ticketed", 2400)]


def test_a_price_typed_in_a_row_needs_a_reason_as_on_the_page_of_its_item(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    for path in (f"/rail/ticket/{number}", f"/rail/{number}/price"):
        refused = rail.post(path, price="31.50")
        assert refused.status_code == 422 and "the price has no reason" in refused.text, path
        assert 'value="31.50"' in refused.text
    assert rail.what_happened(number) == [("taken_in", None)]
    rail.post(f"/rail/ticket/{number}", price="31.50", reason="a fair day")
    assert "a fair day" in clients_words(rail.client, f"/rail/{number}")


@pytest.mark.parametrize("typed", ["dear", "-4", "", "0", "12.345"])
def test_a_price_that_cannot_be_read_is_said_beside_the_table_and_kept(
    rail: RailShop, typed: str
) -> None:
    number = rail.save("jacket", **GOOD)
    answer = rail.post(f"/rail/ticket/{number}", price=typed)
    assert answer.status_code == 422
    assert f"{number}: " in answer.text and 'aria-invalid="true"' in answer.text
    assert f'value="{typed}"' in answer.text
    assert rail.what_happened(number) == [("taken_in", None)]


def test_a_held_item_gets_no_ticket_and_says_why(rail: RailShop) -> None:
    held, good = rail.save("jacket", mould="growth"), rail.save("jacket", **GOOD)
    said = clients_words(rail.client, "/rail?state=held")
    assert held in said and "Mould" in said
    assert f'value="{held}"' not in rail.client.get("/rail?state=held").text
    for path in ("/rail/out", "/rail/away"):
        answer = rail.post(path, pick=[good, held])
        assert answer.status_code == 422 and "gets no ticket" in answer.text
    assert rail.post(f"/rail/ticket/{held}", price="9").status_code == 422
    assert [what for what, _ in rail.what_happened(good)] == ["taken_in"]
    assert "gets no ticket" in clients_words(rail.client, f"/tickets?pick={held}")


def test_what_is_due_is_marked_down_with_one_button_and_passed_on_at_the_end(
    rail: RailShop,
) -> None:
    number = rail.save("jacket", **GOOD)
    rail.post("/rail/out", pick=[number])
    plan = rail.life(number).held[-1].data["plan"]
    assert "Due today" not in clients_words(rail.client, "/rail")
    rail.later(rail.shop.settings.period_days)
    assert "1 to mark down" in clients_words(rail.client, "/rail")
    rail.post("/rail/marks", pick=[number])
    assert rail.what_happened(number)[-1] == ("marked_down", plan[1])
    assert "Due today" not in clients_words(rail.client, "/rail")
    rail.later(rail.shop.settings.period_days * rail.shop.settings.periods)
    assert "1 to take off and pass on" in clients_words(rail.client, "/rail")
    rail.post("/rail/away", pick=[number])
    assert rail.life(number).state.where == "gone"


def test_the_table_sorts_by_links_and_filters_by_kind_and_state(rail: RailShop) -> None:
    cheap, dear = rail.save("jacket", label_standing="mass"), rail.save("jacket", **GOOD)
    shirt = rail.save("shirt", **GOOD)
    text = rail.client.get("/rail?sort=price&down=1&kind=jacket&state=all").text
    assert text.index(f'id="{dear}"') < text.index(f'id="{cheap}"')
    assert f'id="{shirt}"' not in text
    assert 'aria-sort="descending"' in text
    assert rail.client.get("/rail?sort=nonsense&page=x&tier=9&kind=spoon").status_code == 200


def test_the_choice_fills_the_rail_and_says_why_the_others_stay(rail: RailShop) -> None:
    numbers = [rail.save("jacket", str(46 + 2 * (n % 3)), **GOOD) for n in range(8)]
    numbers += [rail.save("shirt", "M", **GOOD) for _ in range(2)]
    page = rail.client.get("/rail/choice?cm=25&kind_most=100&size_most=100")
    chosen = re.findall(r'name="pick" value="([^"]+)" checked', page.text)
    widths = [rail_width(rail.life(one).kind, rail.shop.settings.rail_widths) for one in chosen]
    assert chosen and sum(widths) <= 25
    said = clients_words(rail.client, "/rail/choice?cm=25&kind_most=100&size_most=100")
    assert "What stays, and why" in said and "cm" in said
    assert "by your present habit" in said
    assert page.text.count('class="hanger new"') == len(chosen)
    rail.post("/rail/out", pick=chosen)
    assert {rail.life(one).state.where for one in chosen} == {"on_rail"}
    over = rail.client.get("/rail/choice?cm=5")
    assert over.status_code == 422 and "more than its 5 cm" in over.text


@pytest.mark.parametrize("cm", ["long", "-3", "0"])
def test_a_rail_of_no_length_gets_a_sentence(rail: RailShop, cm: str) -> None:
    answer = rail.client.get("/rail/choice", query_string={"cm": cm})
    assert answer.status_code == 422
    assert "length of the rail: " in answer.text


def test_after_a_new_fit_prices_are_accepted_from_a_list_of_before_and_after(
    app: Flask, rail: RailShop
) -> None:
    inside, outside = rail.save("jacket", **GOOD), rail.save("jacket", **GOOD)
    rail.post("/rail/out", pick=[outside])
    assert "Nothing to reprice" in clients_words(rail.client, "/rail/reprice")
    shop = rail.shop
    terms = replace(shop.terms, steps=(replace(shop.terms.steps[0], step=7.0),))
    terms = replace(terms, steps=(replace(terms.steps[0], under=float("inf")),))
    app.extensions["resale"] = replace(
        shop, model_id="fitted-anew", valuer=Valuer(shop.book, shop.valuer.model, terms)
    )
    said = clients_words(rail.client, "/rail/reprice")
    assert inside in said and outside in said and "fitted-anew" in said
    answer = rail.post("/rail/reprice", pick=[inside, outside])
    assert answer.status_code == 303
    assert [event.what for event in rail.life(inside).held].count("valued") == 2
    assert "Nothing to reprice" in clients_words(rail.client, "/rail/reprice")


def test_one_item_shows_its_plan_beside_the_habit_and_what_to_mend(rail: RailShop) -> None:
    number = rail.save("shirt", stain="seen_2", **GOOD)
    said = clients_words(rail.client, f"/rail/{number}")
    for words in ("Markdown plan", "Your habit", "Net for the shop", "For the consignor", "mend"):
        assert words in said
    assert rail.client.get("/rail/Q-09999").status_code == 404


def test_nothing_picked_or_nothing_known_gets_a_sentence(rail: RailShop) -> None:
    rail.save("jacket", **GOOD)
    answer = rail.post("/rail/out")
    assert answer.status_code == 422 and "nothing was picked" in answer.text
    assert rail.post("/rail/out", pick=["Q-07777"]).status_code == 404


def test_no_rail_form_works_without_its_token(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    for path in (
        "/rail/out",
        "/rail/marks",
        "/rail/away",
        "/rail/reprice",
        f"/rail/ticket/{number}",
    ):
        assert rail.client.post(path, data={"pick": number, "price": "9"}).status_code == 400
    assert rail.what_happened(number) == [("taken_in", None)]


def test_a_price_by_hand_has_a_reason_a_name_and_a_day_and_can_be_taken_back(
    rail: RailShop,
) -> None:
    number = rail.save("jacket", "52", cuff_buttons="working")
    refused = rail.post(f"/rail/{number}/price", price="99")
    assert refused.status_code == 422 and "no reason" in refused.text
    assert (
        rail.post(f"/rail/{number}/price", price="99", reason="signed by hand").status_code == 303
    )
    for path in (f"/items/{number}", f"/rail/{number}"):
        said = clients_words(rail.client, path)
        assert "99.00" in said and "by Ottoline" in said and "signed by hand" in said
    rail.later(1)
    assert rail.post(f"/rail/{number}/price", back="1").status_code == 303
    for path in (f"/items/{number}", f"/rail/{number}"):
        assert "signed by hand" not in clients_words(rail.client, path)
    assert rail.post(f"/rail/{number}/price", back="1").status_code == 422
