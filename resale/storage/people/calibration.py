"""The things that all leads read in one quarter, as they were drawn: rows only added."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select

from resale.storage.db.drill_tables import CalibrationRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing


def add_calibration(
    records: Records, quarter: str, numbers: tuple[str, ...], by_whom: str, at: datetime
) -> None:
    """Write a quarter's things down; the first draw stays.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    quarter : str
        As ``2026-Q1``.
    numbers : tuple of str
    by_whom : str
    at : datetime
        Now, with its zone.
    """
    with writing(records) as session:
        session.execute(
            insert(session, CalibrationRow)
            .values(
                quarter=quarter,
                drawn={"numbers": list(numbers)},
                by_whom=by_whom,
                made_at=stored(at),
            )
            .on_conflict_do_nothing(index_elements=["quarter"])
        )


def calibrations(records: Records) -> dict[str, tuple[str, ...]]:
    """The things of every quarter, the oldest first."""
    with reading(records) as session:
        rows = session.scalars(select(CalibrationRow).order_by(CalibrationRow.quarter))
        return {row.quarter: tuple(row.drawn["numbers"]) for row in rows}
