"""What was entered of items, newest first: for what is said beside size and price."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ItemRow, ValuationRow

# So many numbers are named in one question.
_FEW = 500


def newest_inputs(engine: Engine, numbers: Collection[str]) -> dict[str, dict[str, Any]]:
    """Give the inputs of each item's newest valuation, by its number.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    numbers : collection of str
        Those that were never valued here are left out.
    """
    asked = list(numbers)
    found: dict[str, dict[str, Any]] = {}
    newest = select(func.max(ValuationRow.id)).group_by(ValuationRow.item_id)
    with Session(engine) as session:
        for start in range(0, len(asked), _FEW):
            of = ItemRow.number.in_(asked[start : start + _FEW])
            ids = select(ItemRow.id).where(of)
            rows = session.execute(
                select(ItemRow.number, ValuationRow.inputs)
                .join(ValuationRow, ValuationRow.item_id == ItemRow.id)
                .where(ValuationRow.id.in_(newest.where(ValuationRow.item_id.in_(ids))))
            )
            found |= {row.number: row.inputs for row in rows}
    return found
