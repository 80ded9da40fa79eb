"""A shop with something of everything that a copy carries, and what plain sqlite3 says of it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from ledger_shop import LedgerShop

from resale.config.settings import Settings
from resale.storage.db.database import FILE_NAME

AT = datetime(2026, 6, 30, 12, tzinfo=UTC)
PHOTO = b"\xff\xd8\xff\xe0 not a real photograph " * 40


def small_shop(folder: Path) -> tuple[LedgerShop, Settings]:
    """Three items, two of them sold, and a file in every place where files lie."""
    shop = LedgerShop(folder)
    for amount in (1250, 990, None):
        number = shop.item()
        shop.happens(number, "put_out", "02-01", 1500)
        if amount is not None:
            shop.happens(number, "sold", "03-01", amount)
    for name, content in {
        "shop.toml": b'name = "Invented"\n',
        "rule_changes.toml": b"# none yet\n",
        "photos/Q-00001/1.jpg": PHOTO,
        "models/abc/manifest.json": b"{}",
        "books/f.json": b"{}",
        "session.key": b"secret",
        "models/x.part": b"half",
    }.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return shop, Settings(data_folder=folder)


def asked(folder: Path, query: str) -> list[tuple]:
    """Ask records with Python's own sqlite3, without a line of ours."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as records:
        return records.execute(query).fetchall()
