"""Every table of the records as lines of JSON, faithful enough to build the shop again.

The CSV files beside them are for spreadsheets. What would open a door is left out: passwords,
sessions, links, tokens, seeds, codes. Whoever rebuilds a shop lets its people in anew.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import Table, select
from sqlalchemy.orm import Session

from resale.storage.db import (
    account_tables,  # noqa: F401 - their tables belong to the same base
    consignor_tables,  # noqa: F401 - their tables belong to the same base
    device_tables,  # noqa: F401 - their tables belong to the same base
    drill_tables,  # noqa: F401 - their tables belong to the same base
)
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.tables import Base
from resale.storage.photos.files import SIZES, file_of

LEFT_OUT = {
    "sitting": "who is signed in where",
    "entry_link": "links that let somebody in",
    "second_step": "seeds of apps and passkeys",
    "recovery_code": "codes for a bad day",
    "device_token": "tokens of devices",
    "device_request": "what devices sent last, to know it again",
    "item_now": "where each item is now, which the database writes anew from the rest",
    "shared_file": "models, books and photos, which are files of their own here",
}
"""Tables that are not taken out, and what each holds."""

SECRET = {("person", "secret")}
FOLDER = "records"
AT_ONCE = 1000


def whole_tables(session: Session) -> Iterator[tuple[str, Iterator[str]]]:
    """Give every table that is taken out, parents first: the file's name, and its lines."""
    for table in Base.metadata.sorted_tables:
        if table.name not in LEFT_OUT:
            yield f"{FOLDER}/{table.name}.jsonl", _lines(session, table)


def photo_files(session: Session) -> Iterator[str]:
    """Name the files of all photos, within the data folder."""
    for name in session.scalars(select(PhotoRow.name).order_by(PhotoRow.id)):
        yield from (file_of(name, size) for size in SIZES)


def _lines(session: Session, table: Table) -> Iterator[str]:
    columns = [one for one in table.columns if (table.name, one.name) not in SECRET]
    rows = session.execute(
        select(*columns).order_by(*table.primary_key.columns).execution_options(yield_per=AT_ONCE)
    )
    for row in rows:
        plain = {one.name: _plain(value) for one, value in zip(columns, row, strict=True)}
        yield json.dumps(plain, ensure_ascii=False) + "\n"


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date | datetime) else value
