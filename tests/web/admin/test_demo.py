"""The invented shop that comes with the program."""

from __future__ import annotations

from pathlib import Path

from bench_forms import words_of
from signed_in import Lay

from resale.storage.items.store import item_numbered, items_count
from resale.web import create_app


def test_the_invented_shop_opens_with_its_items_valued_and_says_what_it_is(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True)
    shop = app.extensions["resale"]
    assert items_count(shop.records) == 200
    assert item_numbered(shop.records, "Q-03001").newest.valued.ticket > 0
    said = words_of(app.test_client().get("/items"))
    assert "200 saved" in said
    assert "Invented shop: nothing here is real." in said


def test_opening_the_invented_shop_again_fills_nothing_twice(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True)
    assert items_count(app.extensions["resale"].records) == 200


def test_a_real_shop_never_takes_the_invented_sales_for_its_own(tmp_path: Path) -> None:
    shop = create_app(tmp_path).extensions["resale"]
    assert shop.valuer.model.sales == 0
    assert shop.model_id.startswith("rules")
