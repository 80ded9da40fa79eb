"""Finding saved items: small frozen values come out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session, joinedload

from resale.errors import ResaleError
from resale.pricing.valuation.valuation import Valuation
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.items.stored_valuation import from_stored


class NotSavedError(ResaleError):
    """No item of this number is in the records."""


@dataclass(frozen=True)
class SavedValuation:
    """One valuation as it was made."""

    inputs: dict[str, Any]
    valued: Valuation
    book_version: str
    book_fingerprint: str
    model_id: str
    made_at: datetime


@dataclass(frozen=True)
class SavedItem:
    """An item with its valuations, the newest first."""

    number: str
    client_key: str
    kind: str
    label: str
    size: str
    note: str
    made_at: datetime
    valuations: tuple[SavedValuation, ...]

    @property
    def newest(self) -> SavedValuation:
        """The valuation that holds now."""
        return self.valuations[0]


def item_numbered(engine: Engine, number: str) -> SavedItem:
    """Find an item with its whole history.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    number : str
        In capitals or not.

    Returns
    -------
    SavedItem

    Raises
    ------
    NotSavedError
        If there is none of this number, or it was never valued here.
    """
    wanted = select(ItemRow).where(ItemRow.number == number.strip().upper())
    with Session(engine) as session:
        row = session.scalar(wanted.options(joinedload(ItemRow.valuations)))
        if row is None:
            raise _unknown(number)
        if not row.valuations:
            raise NotSavedError(
                f"item {row.number} was never valued here", remedy="look for it in the Ledger"
            )
        valuations = tuple(_saved(one) for one in reversed(row.valuations))
        return SavedItem(
            row.number,
            row.client_key,
            row.kind,
            row.label,
            row.size,
            row.note,
            _read(row.made_at),
            valuations,
        )


def items_count(engine: Engine) -> int:
    """How many items were valued here."""
    with Session(engine) as session:
        valued = select(ValuationRow.item_id)
        counted = select(func.count()).select_from(ItemRow).where(ItemRow.id.in_(valued))
        return session.scalar(counted) or 0


def kind_counts(engine: Engine) -> dict[str, int]:
    """How many things of each kind the shop has had, valued here or sold before."""
    counted = select(ItemRow.kind, func.count()).group_by(ItemRow.kind)
    with Session(engine) as session:
        rows = session.execute(counted).all()
        return {row[0]: row[1] for row in rows}


def _saved(row: ValuationRow) -> SavedValuation:
    return SavedValuation(
        row.inputs,
        from_stored(row.result),
        row.book_version,
        row.book_fingerprint,
        row.model_id,
        _read(row.made_at),
    )


def _unknown(number: str) -> NotSavedError:
    return NotSavedError(
        f"no item {number[:20]!r} is saved", remedy="look for it in the list of items"
    )


def _read(at: datetime) -> datetime:
    return at.replace(tzinfo=UTC)
