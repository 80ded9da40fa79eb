"""The Evidence: figures on held-out sales, plots that can be read, and what not to trust yet."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from bench_forms import hidden_fields, new_form, words_of
from demo_shop import past_sales, shop_book
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from resale.pricing.evaluation.cross_validation import validation_errors
from resale.storage.ledger.sold_items import SoldItems, sold_items
from resale.storage.models.evidence_cache import evidence_path, store_evidence, stored_evidence
from resale.web import create_app
from resale.web.core.jobs import EXTENSION as WORKS
from resale.web.evidence.cache import find_evidence

PLOTS = ("off", "coverage", "taught", "actual", "drift", "hung")
SALES = 160


def settled(app: Flask, client: FlaskClient, answer: TestResponse) -> TestResponse:
    app.extensions[WORKS].wait()
    return client.get(answer.location, follow_redirects=True)


def past_as_csv(count: int) -> bytes:
    """Jackets and shirts of the invented shop, with what was seen of them, as a file."""
    book, shop = shop_book(), past_sales()
    rows = np.linspace(420, 1799, count).astype(int)
    signals = ("label_standing", "cuff_buttons", "fade", "hole")
    kinds = list(book.kinds)
    lines = [
        ",".join(("item", "kind", "label", "put out", "sold on", "first price", "price", *signals))
    ]
    for row in rows.tolist():
        choices = shop.readings.choices(book, row)
        day = shop.sold_on[row].astype("datetime64[D]")
        cells = [
            f"P-{row}",
            kinds[shop.readings.kinds[row]],
            shop.readings.labels[row],
            str(day - 20 - row % 30),
            str(day),
            *[f"{shop.price[row]:.2f}"] * 2,
        ]
        lines.append(",".join([*cells, *(choices.get(signal, "") for signal in signals)]))
    return "\n".join(lines).encode()


@pytest.fixture(scope="module")
def learned(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """A shop that brought some past sales and learned from them."""
    app = create_app(tmp_path_factory.mktemp("learned"))
    client = app.test_client()
    data = {
        **hidden_fields(client, "/ledger/bring"),
        "file": (io.BytesIO(past_as_csv(SALES)), "p.csv"),
    }
    page = settled(app, client, client.post("/ledger/bring", data=data))
    path = re.search(r'action="(/ledger/bring/[0-9a-f]{64}/load)"', page.text)
    assert path is not None, words_of(page)
    token = {"csrf_token": re.findall(r'name="csrf_token" value="([^"]+)"', page.text)[0]}
    settled(app, client, client.post(path[1], data=token))
    settled(app, client, client.post("/ledger/prices/learn", data=token))
    return app


@pytest.fixture(scope="module")
def evidence(learned: Flask) -> TestResponse:
    client = learned.test_client()
    answer = client.get("/evidence")
    return settled(learned, client, answer) if answer.status_code == 303 else answer


def test_three_questions_are_answered_in_order(evidence: TestResponse) -> None:
    said = words_of(evidence)
    places = [
        said.index(question)
        for question in (
            "What not to trust yet",
            "How far off are we?",
            "Does the band keep its word?",
            "What have the sales taught?",
            "How fast do things sell?",
            "What are things worth, and what did they bring?",
        )
    ]
    assert places == sorted(places)
    assert f"{SALES} sales" in said
    assert re.search(r"Half of all sales were within \d+ %", said)


def test_every_plot_has_words_and_a_table_with_its_figures(evidence: TestResponse) -> None:
    pictures = re.findall(r'<img src="(/evidence/[^"]+)" alt="([^"]+)"', evidence.text)
    assert [path.split("/")[2] for path, _ in pictures] == [
        "off",
        "actual",
        "drift",
        "coverage",
        "taught",
        "hung",
    ]
    assert all(len(words) > 40 for _, words in pictures)
    for section in evidence.text.split('<section class="question"')[1:]:
        assert section.count("<picture") <= section.count("<table")


@pytest.mark.parametrize(
    ("name", "query"),
    [
        pytest.param(name, query, marks=() if place % 4 == turn else pytest.mark.long)
        for place, name in enumerate(PLOTS)
        for turn, query in enumerate(["", "?lamp=1", "?narrow=1", "?lamp=1&narrow=1"])
    ],
)
def test_a_plot_is_a_picture_that_the_guards_let_through(
    learned: Flask, evidence: TestResponse, name: str, query: str
) -> None:
    path = re.search(rf'<img src="(/evidence/{name}/[^"]+)"', evidence.text)
    assert path is not None
    answer = learned.test_client().get(path[1] + query)
    assert answer.status_code == 200 and answer.mimetype == "image/svg+xml"
    assert "max-age" in answer.headers["Cache-Control"]
    assert "<style" not in answer.text and " style=" not in answer.text
    assert "<script" not in answer.text and "<path" in answer.text
    assert len(answer.data) < 200_000


def test_an_old_address_of_a_plot_shows_nothing(learned: Flask, evidence: TestResponse) -> None:
    client = learned.test_client()
    assert client.get("/evidence/off/0.svg").status_code == 404
    path = re.findall(r"/evidence/off/([0-9a-f]+)\.svg", evidence.text)[0]
    assert client.get(f"/evidence/nothing/{path}.svg").status_code == 404


@pytest.mark.parametrize("order", ["rule", "book", "learned", "moved", "doubt", "sales"])
def test_what_sales_changed_is_sorted_by_a_link(learned: Flask, order: str) -> None:
    text = learned.test_client().get(f"/evidence?order={order}&every=1").text
    table = text[text.index('id="rules-table"') : text.index("Labels that moved most")]
    direction = "ascending" if order == "rule" else "descending"
    assert f'aria-sort="{direction}"><a href="/evidence?order={order}&amp;every=1' in table
    if order == "sales":
        counts = [int(n.replace(",", "")) for n in re.findall(r'money">([\d,]+)</td></tr>', table)]
        assert len(counts) > 5 and counts == sorted(counts, reverse=True)


@pytest.mark.long
def test_things_are_judged_by_what_the_fit_learns_of_them(
    learned: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where things hung, the fit learns their worths; judged by the marks at which they went, the
    very best prices would look a fifth too high."""
    client = learned.test_client()
    answer = client.get("/evidence")
    before = words_of(settled(learned, client, answer) if answer.status_code == 303 else answer)
    assert "judged by its worth" not in before

    def worths(_records, _book, _settings, sold, _today, **_):
        return replace(sold, price=3 * sold.price)

    monkeypatch.setattr("resale.web.evidence.cache.taught_worths", worths)
    found = find_evidence(learned.extensions["resale"], sold_now_of(learned), no_step)
    assert found.by_worth and found.report is not None
    assert np.sort(found.report.validation.price)[-1] > 2.9 * sold_now_of(learned).price.max()


def sold_now_of(app: Flask) -> SoldItems:
    shop = app.extensions["resale"]
    return sold_items(shop.records, shop.book, shop.settings)


def no_step(_done: int, _of: int, _what: str) -> None:
    """Nobody waits."""


def test_a_shop_without_sales_is_told_so_and_how_to_begin(app: Flask, client: FlaskClient) -> None:
    page = settled(app, client, client.get("/evidence"))
    said = words_of(page)
    assert "Nothing sold yet: every price rests on the rule book alone." in said
    assert "Bring your own past" in said


def test_judgements_are_kept_and_read_again(tmp_path: Path) -> None:
    book, shop = shop_book(), past_sales().rows(np.arange(30))
    validation = validation_errors(
        book, shop.readings, shop.price, shop.sold_on, forward=False, folds=2
    )
    path = evidence_path(tmp_path, "sales", book.fingerprint, 365.0)
    assert stored_evidence(path) is None
    store_evidence(path, validation)
    again = stored_evidence(path)
    assert again is not None and again.forward == validation.forward
    np.testing.assert_array_equal(again.error, validation.error)
    np.testing.assert_array_equal(again.inside, validation.inside)
    path.write_bytes(b"not arrays")
    assert stored_evidence(path) is None
    assert evidence_path(tmp_path, "sales", book.fingerprint, 180.0) != path


def test_the_item_page_names_the_nearest_sales_and_what_differs(learned: Flask) -> None:
    client = learned.test_client()
    fields = new_form(client)
    client.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "working"})
    page = client.get("/items")
    number = re.findall(r'href="/items/(Q-\d+)"', page.text)[0]
    assert f'hx-get="/items/{number}/like"' in client.get(f"/items/{number}").text
    said = words_of(client.get(f"/items/{number}/like"))
    assert len(re.findall(r"P-\d+", said)) == 5
    assert re.search(r"× \d\.\d\d", said)
    piece = client.get(f"/items/{number}/like", headers={"HX-Request": "true"}).text
    assert "<html" not in piece


def test_things_without_a_kind_are_counted_as_a_kind_that_is_missing(
    learned: Flask, evidence: TestResponse
) -> None:
    assert "Which kinds are missing?" not in evidence.text
    client = learned.test_client()
    for what in ("Umbrella", "umbrella", "Vase"):
        fields = {**new_form(client), "what": what}
        priced = {"hand-price": "8", "hand-why": "a guess"}
        assert client.post("/bench/unsorted/save", data={**fields, **priced}).status_code == 303
    page = client.get("/evidence").text
    part = page[page.index("Which kinds are missing?") :]
    rows = re.findall(r'<th scope="row">(\w+)</th><td class="money">(\d+)</td>', part)
    assert [(what.casefold(), count) for what, count in rows[:2]] == [
        ("umbrella", "2"),
        ("vase", "1"),
    ]
