"""Records of a shop to write events into, without a price model: the store alone is tried."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine, func, insert, select
from writing import BY, add_event

from resale.storage.db.database import open_records
from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.ledger.effective_events import event_key, event_values
from resale.storage.ledger.event_checks import NewEvent

NOON = datetime(2026, 6, 30, 12, tzinfo=UTC)
TODAY = NOON.date()


def day(text: str) -> date:
    return date.fromisoformat(f"2026-{text}")


class LedgerShop:
    """A shop with its records; every event gets a key of its own unless one is given."""

    def __init__(self, records: Engine | Path) -> None:
        self.records = open_records(records) if isinstance(records, Path) else records
        self._keys = 0

    def item(self, taken_in: str = "01-10", kind: str = "shirt", **data: object) -> str:
        """Take an item in, as a save on the bench does."""
        with self.records.execution_options(writes=True).begin() as open_one:
            following = (open_one.scalar(select(func.max(ItemRow.id))) or 0) + 1
            number = f"Q-{following:05d}"
            values = {
                "id": following,
                "number": number,
                "client_key": number,
                "kind": kind,
                "label": "",
            }
            made = {"size": "", "note": "", "made_at": NOON.replace(tzinfo=None)}
            open_one.execute(insert(ItemRow).values(**values, **made))
            own = event_values(
                following,
                "taken_in",
                event_key(number),
                NOON,
                day=day(taken_in),
                data=data,
                by_whom=BY,
            )
            open_one.execute(insert(EventRow).values(**own))
        return number

    def happens(self, number: str, what: str, on: str, amount: int | None = None, **more) -> int:
        self._keys += 1
        key = more.pop("key", f"key-{self._keys}")
        by = more.pop("by", BY)
        new = NewEvent(number, what, day(on), key, amount, **more)
        return add_event(self.records, new, currency="EUR", at=NOON + timedelta(0), by=by)
