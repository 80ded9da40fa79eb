"""The invented shop that comes with the program, laid out to be tried."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from platformdirs import user_data_path

from resale.config.paths import shipped
from resale.config.settings import FILE_NAME
from resale.services.actor import INVENTED
from resale.services.items.entry import entry_of
from resale.services.items.save_item import save_many, to_save
from resale.storage.imports.demo_ledger import seed_demo_ledger
from resale.storage.items.new_save import NewSave
from resale.storage.items.store import items_count
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
        save_many(shop, INVENTED, [_to_save(shop, row) for row in rows], shop.here())
    seed_demo_ledger(shop.records, shop.book, shop.settings)


def _to_save(shop: Shop, row: Mapping[str, str]) -> NewSave:
    kind = shop.kind(row["kind"])
    picked, typed = {}, {}
    for signal in kind.signals:
        cell = row.get(signal.id, "")
        if cell in signal.option_ids:
            picked[signal.id] = cell
        elif cell:
            typed[signal.id] = cell
    key = str(uuid5(NAMESPACE_URL, f"invented/{row['item']}"))
    entry = entry_of(kind, picked, typed, key=key, label=row["label"], size=row["size"])
    return replace(to_save(shop, entry), wanted=int(row["item"].removeprefix("Q-")))
