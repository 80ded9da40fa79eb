"""In which order somebody's signs begin to be drilled, as it was stated: rows only added."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select

from resale.storage.db.drill_tables import IntroductionRow
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing


@dataclass(frozen=True, slots=True)
class Introduction:
    """A stated order.

    Attributes
    ----------
    starts : dict of str to date
        From when each sign is drilled, in the drawn order.
    """

    person_id: int
    starts: dict[str, date]
    by_whom: str
    at: datetime

    def held_back(self, day: date) -> frozenset[str]:
        """Signs that are not to be drilled yet on a day."""
        return frozenset(sign for sign, start in self.starts.items() if day < start)


def add_introduction(records: Records, new: Introduction) -> None:
    """Write a stated order down; the newest of a person holds.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    new : Introduction
    """
    stated = {"starts": {sign: day.isoformat() for sign, day in new.starts.items()}}
    row = IntroductionRow(
        person_id=new.person_id, stated=stated, by_whom=new.by_whom, made_at=stored(new.at)
    )
    with writing(records) as session:
        session.add(row)


def introduction_of(records: Records, person_id: int) -> Introduction | None:
    """The order that holds for a person; None where none was stated.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int
    """
    wanted = select(IntroductionRow).where(IntroductionRow.person_id == person_id)
    with reading(records) as session:
        row = session.scalar(wanted.order_by(IntroductionRow.id.desc()).limit(1))
        if row is None:
            return None
        starts = {sign: date.fromisoformat(day) for sign, day in row.stated["starts"].items()}
        return Introduction(row.person_id, starts, row.by_whom, told(row.made_at))
