"""Shops of a chain learn together: gathered from their records, fitted once, handed over."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from a_save import a_save
from click.testing import CliRunner
from writing import add_events, save_items

from resale.cli.main import commands
from resale.config.settings import read_settings
from resale.services.chain.folders import folder_of
from resale.services.shop import Shop, open_shop
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.models.model_runs import fitted_models
from resale.storage.people.audit_log import audit_entries

pytest.importorskip("pyarrow")
SALES = 60


@pytest.fixture
def place(tmp_path: Path, empty_records: Path) -> Path:
    """Harbour sells a label's jackets at twice what Mill does; prices have wild ends."""
    for name, times in (("harbour", 2.0), ("mill", 1.0)):
        folder = tmp_path / name
        folder.mkdir()
        shutil.copy(empty_records, folder)
        others = 'other_shops = ["../mill"]\n' if name == "harbour" else ""
        own = f'name = "{name.title()}"\n{others}'
        (folder / "shop.toml").write_text(own, encoding="utf-8")
        _sells(folder, times)
    return tmp_path


def _sells(folder: Path, times: float) -> None:
    shop = open_shop(read_settings(folder))
    at, rng = shop.here(), np.random.default_rng(3)
    numbers = save_items(shop.records, [a_save(f"key-{n}") for n in range(SALES)], at)
    paid = np.rint(times * 4000 * np.exp(0.15 * rng.standard_t(3, SALES))).astype(int).tolist()
    events = [
        NewEvent(number, "sold", at.date(), f"sold {number}", amount)
        for number, amount in zip(numbers, paid, strict=True)
    ]
    add_events(shop.records, events, currency="EUR", at=at)
    shop.records.dispose()


def _run(place: Path, *words: str, code: int = 0) -> str:
    asked = ["chain", *words, "--folder", str(place / "harbour")]
    found = CliRunner().invoke(commands, asked)
    assert found.exit_code == code, found.output
    return found.output


def _estimate(place: Path, name: str) -> tuple[Shop, int]:
    shop = open_shop(read_settings(place / name))
    from resale.garments.rulebook.readings import one_reading  # noqa: PLC0415
    from resale.pricing.valuation.explanation import explain  # noqa: PLC0415

    reading = one_reading(shop.book, "jacket", {"cuff_buttons": "working"}, "Harrowmere")
    shop.records.dispose()
    return shop, explain(shop.valuer, reading).estimate


@pytest.mark.long
def test_a_month_of_learning_together(place: Path) -> None:
    sales, prices = str(place / "sales"), str(place / "prices")
    for _ in range(2):
        # A second month writes the same sales in the place of the first, and not beside them.
        said = _run(place, "gather", sales)
        assert "Harbour: 60 sales gathered." in said
        assert f"Learned from {2 * SALES} sales of 2 shops" in _run(
            place, "fit", sales, "--out", prices
        )
    assert "Mill: prices follow" in _run(place, "hand-over", prices)
    harbour, dear = _estimate(place, "harbour")
    mill, cheap = _estimate(place, "mill")
    # Each shop has a level of its own, drawn a little towards the other's.
    assert 1.5 < dear / cheap < 2.05
    for shop in (harbour, mill):
        (model,) = fitted_models(shop.records, shop.settings)
        assert model.current
        assert model.of_chain
        assert model.sales == 2 * SALES
        assert shop.model_id == model.model_id
        assert shop.fallback is None
        assert "handed prices of the chain over" in [
            one.what for one in audit_entries(shop.records)
        ]
    # Handed over once more, nothing new is switched to.
    _run(place, "hand-over", prices)
    assert len(fitted_models(mill.records, mill.settings)) == 1


@pytest.mark.long
def test_what_cannot_be_put_together_is_said_and_the_others_go_on(place: Path) -> None:
    sales = place / "sales"
    mill = place / "mill" / "shop.toml"
    mill.write_text('name = "Mill"\ncurrency = "GBP"\n', encoding="utf-8")
    said = _run(place, "gather", str(sales), code=1)
    assert "its sales are in GBP, and the chain's in EUR" in said
    assert "Harbour: 60 sales gathered." in said
    mill.write_text('name = "Mill"\n', encoding="utf-8")
    by_file = place / "till.csv"
    by_file.write_text("item,kind,price,sold_on\nT1,jacket,40,2026-01-05\n", encoding="utf-8")
    # What another shop brought, of a name that begins alike, is no harm.
    _run(place, "bring", str(by_file), "--shop", "Mill House", "--to", str(sales))
    assert "Mill: 60 sales gathered." in _run(place, "gather", str(sales))
    by_file.write_text("item,kind,price,sold_on\nT1,jacket,41,2026-01-05\n", encoding="utf-8")
    _run(place, "bring", str(by_file), "--shop", "Mill", "--to", str(sales))
    assert "brought by file already" in _run(place, "gather", str(sales), code=1)
    assert "Mill: no prices are for it." in _run(place, "hand-over", str(place / "none"), code=1)


def test_a_shop_that_is_called_otherwise_does_not_count_twice_unseen(place: Path) -> None:
    sales = place / "sales"
    _run(place, "gather", str(sales))
    (place / "mill" / "shop.toml").write_text('name = "Mill/2"\n', encoding="utf-8")
    said = _run(place, "gather", str(sales), code=1)
    assert "Mill/2: 60 sales gathered." in said
    assert "Mill.records.parquet: no shop of the chain is called so now" in said
    (sales / "Mill.records.parquet").unlink()
    _run(place, "gather", str(sales))
    # Names that differ in a sign alone have files of their own.
    assert folder_of("Mill/2") != folder_of("Mill-2")
