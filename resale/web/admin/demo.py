"""The invented shop that comes with the program, laid out to be tried."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from platformdirs import user_data_path

from resale.config.paths import shipped
from resale.config.settings import FILE_NAME
from resale.garments.rulebook.rule_book import Kind
from resale.storage.imports.demo_ledger import seed_demo_ledger
from resale.storage.items.store import NewSave, items_count, save_items
from resale.web.bench.form import OPTION, TYPED, entry_from_form
from resale.web.core.shop import Shop

DEMO_KEY = "invented"


def demo_folder(folder: Path | None) -> Path:
    """Make the data folder of the invented shop, with its settings."""
    place = folder or user_data_path("resale", False) / "demo"
    place.mkdir(parents=True, exist_ok=True)
    if not (place / FILE_NAME).exists():
        shutil.copy(shipped("demo_data") / FILE_NAME, place / FILE_NAME)
    return place


def fill_demo(shop: Shop) -> None:
    """Value the invented items on hand, and load the invented past, the first time only."""
    if not items_count(shop.records):
        path = shipped("demo_data") / "items.csv"
        with path.open(encoding="utf-8", newline="") as file:
            rows = [row for row in csv.DictReader(file) if row["kind"] in shop.book.kinds]
        save_items(shop.records, [_to_save(shop, row) for row in rows], shop.here())
    seed_demo_ledger(shop.records, shop.book, shop.settings)


def _to_save(shop: Shop, row: Mapping[str, str]) -> NewSave:
    kind = shop.kind(row["kind"])
    key = str(uuid5(NAMESPACE_URL, f"invented/{row['item']}"))
    line = {"label": row["label"], "size": row["size"], "key": key}
    entry = entry_from_form(kind, {**_fields(kind, row), **line})
    return NewSave(
        key=key,
        number=None,
        kind=kind.id,
        label=entry.label,
        size=entry.size,
        note="",
        inputs=entry.inputs(),
        valued=shop.valued(shop.explain(entry)),
        book_version=shop.book.version,
        book_fingerprint=shop.book.fingerprint,
        model_id=shop.model_id,
        terms=shop.terms,
        wanted=int(row["item"].removeprefix("Q-")),
    )


def _fields(kind: Kind, row: Mapping[str, str]) -> dict[str, str]:
    """Cells as form fields: the id of an option, or a measure as a sorter writes it."""
    fields = {}
    for signal in kind.signals:
        cell = row.get(signal.id, "")
        if cell in signal.option_ids:
            fields[OPTION + signal.id] = cell
        elif cell:
            fields[TYPED + signal.id] = cell
    return fields
