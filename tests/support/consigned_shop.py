"""A shop whose consignors are sold for, settled with and paid, through the use cases, at a clock
of ours; and what they are owed, counted again by brute force from what was done."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from ledger_shop import LedgerShop
from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.ledger.correct_event import correct_event
from resale.services.ledger.write_event import write_event
from resale.services.settlement.consigned import bring_items
from resale.services.settlement.owed import accounts_now, due_to
from resale.services.settlement.payouts import NewMove, note_move
from resale.services.settlement.statements import close_statement
from resale.services.shop import Shop, open_shop
from resale.storage.db.database import open_records
from resale.storage.ledger.consignors import save_consignor
from resale.storage.ledger.event_checks import NewEvent

LEAD = Actor("Ottoline", "lead")


@cache
def _any_shop() -> Shop:
    """Rule book and prices take a second to read; the accounts ask little of them."""
    with TemporaryDirectory() as folder:
        shop = open_shop(Settings(data_folder=Path(folder)))
        shop.records.dispose()
    return shop


class ConsignedShop:
    """An invented shop; days are given as 2026's MM-DD, or as dates."""

    def __init__(self, folder: Path, records: Engine | None = None, **settings: object) -> None:
        chosen = Settings(data_folder=folder, **settings)  # type: ignore[arg-type]
        opened = records or open_records(folder)
        self.shop: Shop = replace(_any_shop(), settings=chosen, records=opened)
        self.ledger = LedgerShop(self.shop.records)
        self._keys = 0

    def at(self, on: str | date) -> datetime:
        found = on if isinstance(on, date) else date.fromisoformat(f"2026-{on}")
        return datetime.combine(found, time(12), UTC)

    def key(self) -> str:
        self._keys += 1
        return f"consigned-{self._keys}"

    def consignor(self, number: str, on: str | date = "01-02") -> str:
        return save_consignor(self.shop.records, number, "", self.at(on))

    def brings(self, number: str, *, share: str = "", on: str = "01-10") -> str:
        item = self.ledger.item(on)
        agreed = Decimal(share) if share else None
        bring_items(self.shop, LEAD, number, [item], self.at(on), agreed)
        return item

    def happens(self, item: str, what: str, on: str | date, amount: int | None = None, **more):
        at = self.at(on)
        day = more.pop("day", at.date())
        new = NewEvent(item, what, day, self.key(), amount, **more)
        return write_event(self.shop, LEAD, new, at).event

    def sells(self, item: str, on: str | date, amount: int, **more) -> int:
        return self.happens(item, "sold", on, amount, **more)

    def corrects(self, item: str, event: int, on: str, day: str, amount: int | None = None, **more):
        meant = date.fromisoformat(f"2026-{day}")
        new = NewEvent(item, "corrected", meant, self.key(), amount, corrects=event, **more)
        return correct_event(self.shop, LEAD, new, self.at(on))

    def moves(self, number: str, what: str, on: str | date, amount: int, **more) -> None:
        at = self.at(on)
        new = NewMove(number, what, amount, at.date(), self.key(), **more)
        note_move(self.shop, LEAD, new, at)

    def closes(self, number: str, end: str | date, on: str | date | None = None):
        last = end if isinstance(end, date) else date.fromisoformat(f"2026-{end}")
        return close_statement(self.shop, LEAD, number, last, self.at(on or end))

    def owed(self, number: str) -> int:
        return due_to(self.shop, number).owed

    def accounts(self) -> dict[str, int]:
        """Balances by name, consignors added up; all together must be 0."""
        sums: dict[str, int] = {}
        for account, amount in accounts_now(self.shop).items():
            sums[account.name] = sums.get(account.name, 0) + amount
        assert sum(sums.values()) == 0
        return sums
