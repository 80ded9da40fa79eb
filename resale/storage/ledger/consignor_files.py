"""Consignors by the many, as a file gives them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.selling.consignment.shares import share_text
from resale.storage.db.consignor_tables import ConsignorRow
from resale.storage.db.utc import stored
from resale.storage.ledger.consignors import free_number


@dataclass(frozen=True)
class NewConsignor:
    """A consignor as a file gives them; without a number they get one of ours."""

    number: str
    name: str
    share: Decimal | None


def refused_consignors(
    session: Session, people: Mapping[int, NewConsignor]
) -> dict[int, ReadingError]:
    """Find rows that would give one person's number to another, or a share nobody agreed on.

    What is owed goes by the number, and a share is agreed by name: a file changes neither.

    Parameters
    ----------
    session : Session
    people : mapping of int to NewConsignor
        By the place of their row.

    Returns
    -------
    dict of int to ReadingError
        By the place of the row.
    """
    rows = session.scalars(select(ConsignorRow)).all()
    known = {row.number: row for row in rows}
    told: defaultdict[str, dict[int, NewConsignor]] = defaultdict(dict)
    for place, one in people.items():
        told[one.number].setdefault(place, one)
    found: dict[int, ReadingError] = {}
    for number, those in told.items():
        row, unlike = known.get(number), len({_same(one) for one in those.values()}) > 1
        for place, one in those.items():
            fault = _twice(number, those.values()) if number and unlike else _against(row, one)
            if fault is not None:
                found[place] = fault
    return found


def _same(one: NewConsignor) -> tuple[str, Decimal | None]:
    return one.name.casefold(), one.share


def _twice(number: str, those: Iterable[NewConsignor]) -> ReadingError:
    names = " and ".join(dict.fromkeys(one.name or "nobody" for one in those))
    what = f"for {names}" if " and " in names else "with unlike shares"
    return ReadingError(
        f"consignor {number} stands twice, {what}",
        remedy="give one another number, or leave it out",
    )


def _against(row: ConsignorRow | None, one: NewConsignor) -> ReadingError | None:
    if row is None:
        return None
    if one.name and row.name and one.name.casefold() != row.name.casefold():
        return ReadingError(
            f"consignor {row.number} is {row.name} here, not {one.name}",
            remedy="give them another number, or change the name on the page of consignors first",
        )
    if one.share is not None and row.share is not None and Decimal(row.share) != one.share:
        return ReadingError(
            f"consignor {row.number} agreed on another share",
            remedy="agree another one on their page, or leave the share out",
        )
    return None


def write_consignors(
    session: Session, people: Sequence[NewConsignor], at: datetime
) -> tuple[int, int]:
    """Write consignors, and names of known ones who had none; gives how many are new, and known.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    people : sequence of NewConsignor
        One without a number is known by a name that only one consignor has.
    """
    rows = session.scalars(select(ConsignorRow)).all()
    by_number = {row.number: row for row in rows}
    names = [row.name.casefold() for row in rows]
    by_name = {row.name.casefold(): row for row in rows if names.count(row.name.casefold()) == 1}
    new = 0
    for one in people:
        row = by_number.get(one.number) if one.number else by_name.get(one.name.casefold())
        if row is not None:
            row.name = row.name or one.name
            continue
        following = (session.scalar(select(func.max(ConsignorRow.id))) or 0) + 1
        row = ConsignorRow(
            id=following,
            number=one.number or free_number(session, following),
            name=one.name,
            share=None if one.share is None else share_text(one.share),
            made_at=stored(at),
        )
        session.add(row)
        session.flush()
        by_number[row.number], by_name[row.name.casefold()] = row, row
        new += 1
    return new, len(people) - new
