"""The invented shop that comes with the program, laid out to be tried."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from platformdirs import user_data_path

from resale.config.paths import shipped
from resale.config.private import private_folder
from resale.config.settings import FILE_NAME, Settings
from resale.errors import ResaleError
from resale.garments.rulebook.rule_book import Kind
from resale.safety.required_looks import CHILD, missing_looks, nothing_found
from resale.services.actor import INVENTED
from resale.services.items.entry import entry_of
from resale.services.items.save_item import save_many, signed_entry, to_save
from resale.storage.db.database import FILE_NAME as RECORDS
from resale.storage.db.database import engine_of, records_as_they_are, records_of
from resale.storage.imports.past.demo_ledger import seed_demo_ledger
from resale.storage.items.new_save import NewSave
from resale.storage.items.store import items_count
from resale.storage.people.invented_mark import is_empty, is_invented, mark_invented
from resale.web.core.shop import Shop

DEMO_KEY = "invented"
# What the invented sorter saw where 'nothing found' is no answer.
_FINE = {
    "lock_keys": "no_lock",
    "bag_date": "none",
    "pair_match": "matched",
    "maker_doubt": "nothing_odd",
}


class NotInventedError(ResaleError):
    """Something real, or that may be, lies where the invented shop was to be laid out."""


def demo_folder(folder: Path | None) -> Path:
    """Make the data folder of the invented shop, with its settings, where nothing else lies.

    Raises
    ------
    NotInventedError
    """
    place = folder or user_data_path("resale", False) / "demo"
    if place.exists() and (not place.is_dir() or any(place.iterdir())):
        if not _laid_out(place):
            raise _not_invented(str(place))
        return place
    private_folder(place)
    shutil.copy(_settings_file(), place / FILE_NAME)
    return place


def lay_out(settings: Settings, at: datetime) -> None:
    """Make the records of the invented shop where there are none; touch no others.

    Parameters
    ----------
    settings : Settings
        With the folder of the invented shop.
    at : datetime
        Moment from which its days are counted back.

    Raises
    ------
    NotInventedError
        If the records that are there do not say themselves that they are invented.
    """
    there = records_as_they_are(settings)
    try:
        if there is not None and is_invented(there):
            return
        if there is not None and not is_empty(there):
            raise _not_invented("the records")
    finally:
        if there is not None:
            there.dispose()
    records = records_of(settings)
    try:
        mark_invented(records, at)
    finally:
        records.dispose()


def _laid_out(place: Path) -> bool:
    """Whether a folder is one that the demo made: its records, or else its settings, say so."""
    records = place / RECORDS
    if records.is_file():
        engine = engine_of(records)
        try:
            if is_invented(engine):
                return True
            if not is_empty(engine):
                return False
        finally:
            engine.dispose()
    # Begun, and stopped before the records said anything; or they lie on a server.
    written = place / FILE_NAME
    return written.is_file() and written.read_bytes() == _settings_file().read_bytes()


def _settings_file() -> Path:
    return shipped("demo_data") / FILE_NAME


def _not_invented(where: str) -> NotInventedError:
    return NotInventedError(
        "what lies there is not known to be invented, so the invented shop was not laid out in it "
        "and nothing was changed",
        where=where,
        remedy="name a new folder with --folder, or leave --demo away to open what is there",
    )


def fill_demo(shop: Shop) -> None:
    """Value the invented items on hand, and load the invented past, the first time only."""
    if not items_count(shop.records):
        path = shipped("demo_data") / "items.csv"
        with path.open(encoding="utf-8", newline="") as file:
            rows = [row for row in csv.DictReader(file) if row["kind"] in shop.book.kinds]
        save_many(shop, INVENTED, [_to_save(shop, row) for row in rows], shop.here())
    seed_demo_ledger(shop.records, shop.book, shop.settings)


def _looked_over(kind: Kind, inputs: Mapping[str, Any]) -> dict[str, str]:
    """Answers of the invented sorter, who looked everything over and found nothing."""
    looks = {CHILD: "no", **nothing_found(kind, inputs)}
    for one in missing_looks(kind, inputs):
        fine = _FINE.get(one.id, one.answers[0][0])
        looks.setdefault(one.id, fine)
    return looks


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
    line = {"label": row["label"], "size": row["size"]}
    inputs = {"kind": kind.id, "choices": picked, "looks": {CHILD: "no"}, **line}
    looks = _looked_over(kind, inputs)
    picked |= {name: looks.pop(name) for name in [*looks] if name in kind.by_id}
    label, size = line["label"], line["size"]
    entry = entry_of(kind, picked, typed, key=key, looks=looks, label=label, size=size)
    entry = signed_entry(shop, entry, INVENTED)
    return replace(to_save(shop, entry), wanted=int(row["item"].removeprefix("Q-")))
