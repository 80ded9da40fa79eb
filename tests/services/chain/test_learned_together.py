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
from resale.services.shop import Shop, open_shop
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.models.model_runs import fitted_models
from resale.storage.people.audit_log import audit_entries

pytest.importorskip("pyarrow")
SALES = 60


@pytest.fixture
def place(tmp_path: Path, empty_records: Path) -> Path:
    """Harbour sells a label's jackets at twice what Mill does."""
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
    paid = np.rint(times * 4000 * np.exp(rng.normal(0, 0.2, SALES))).astype(int).tolist()
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


def test_what_cannot_be_put_together_is_said_and_the_others_go_on(place: Path) -> None:
    sales = place / "sales"
    mill = place / "mill" / "shop.toml"
    mill.write_text('name = "Mill"\ncurrency = "GBP"\n', encoding="utf-8")
    said = _run(place, "gather", str(sales), code=1)
    assert "its sales are in GBP, and the chain's in EUR" in said
    assert "Harbour: 60 sales gathered." in said
    mill.write_text('name = "Mill"\n', encoding="utf-8")
    (sales / "Mill-till.0123456789ab.parquet").write_bytes(b"")
    assert "brought by file already" in _run(place, "gather", str(sales), code=1)
    (sales / "Mill-till.0123456789ab.parquet").unlink()
    assert "Mill: no prices are for it." in _run(place, "hand-over", str(place / "none"), code=1)
