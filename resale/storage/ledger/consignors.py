"""Consignors and what they brought: a number, a name, and item by item what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import count

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.items.store import NotSavedError

LONGEST = {"number": 20, "name": 80}


class ConsignorError(ResaleError):
    """What was typed cannot be kept of a consignor."""


@dataclass(frozen=True)
class ConsignorLine:
    """One consignor of the list."""

    number: str
    name: str
    items: int


def save_consignor(
    records: Records, number: str, name: str, at: datetime, *, renames: bool = False
) -> str:
    """Keep a consignor, or give one who is kept a name.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    number : str
        Empty to have one made.
    name : str
    at : datetime
        Now, with its zone.
    renames : bool
        Whether another name is meant: what is owed to a number must not go to somebody else who
        was given it by a slip.

    Returns
    -------
    str
        The number, in capitals; made where none was given.

    Raises
    ------
    ConsignorError
        If name or number is too long, the number has other signs than letters, figures and
        dashes, or is somebody else's.
    """
    number, name = number.strip().upper(), " ".join(name.split())
    for what, text in (("number", number), ("name", name)):
        if len(text) > LONGEST[what]:
            raise ConsignorError(
                f"the {what} has {len(text)} characters",
                where="consignor",
                remedy=f"shorten it to {LONGEST[what]}",
            )
    if not set(number) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-"):
        raise ConsignorError(
            f"{number!r} is no consignor's number",
            where="consignor",
            remedy="use letters, figures and dashes",
        )
    with writing(records) as session:
        following = (session.scalar(select(func.max(ConsignorRow.id))) or 0) + 1
        number = number or free_number(session, following)
        row = {"id": following, "number": number, "name": name, "made_at": stored(at)}
        # Two desks that keep the same number at once: the second finds the first one's name.
        session.execute(insert(session, ConsignorRow).values(row).on_conflict_do_nothing())
        kept = consignor_row(session, number)
        if not renames and name and kept.name and kept.name.casefold() != name.casefold():
            raise ConsignorError(
                f"it is {kept.name} already",
                where=f"consignor {number}",
                remedy="leave the number out to have one made, or change the name on their page",
            )
        kept.name = name or kept.name
    return number


def free_number(session: Session, following: int) -> str:
    """Give the next number that nobody has, on paper or from here.

    Parameters
    ----------
    session : Session
    following : int
        From which serial on.
    """
    taken = set(session.scalars(select(ConsignorRow.number)))
    ours = (f"C-{serial:04d}" for serial in count(following))
    return next(number for number in ours if number not in taken)


def consignors(engine: Engine) -> list[ConsignorLine]:
    """List consignors by their number."""
    query = (
        select(ConsignorRow.number, ConsignorRow.name, func.count(BroughtRow.item_id))
        .outerjoin(BroughtRow, BroughtRow.consignor_id == ConsignorRow.id)
        .group_by(ConsignorRow.id)
    )
    with Session(engine) as session:
        lines = [ConsignorLine(*row) for row in session.execute(query)]
    # Sorted here, because databases differ in what comes first.
    return sorted(lines, key=lambda line: line.number)


def consignor_numbered(records: Records, number: str) -> ConsignorLine:
    """Find a consignor.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    number : str
        In capitals or not.

    Returns
    -------
    ConsignorLine

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    brought = select(func.count()).select_from(BroughtRow)
    with reading(records) as session:
        row = consignor_row(session, number)
        items = session.scalar(brought.where(BroughtRow.consignor_id == row.id)) or 0
        return ConsignorLine(row.number, row.name, items)


def consignor_row(session: Session, number: str) -> ConsignorRow:
    """Find the row of a consignor.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        In capitals or not.

    Returns
    -------
    ConsignorRow

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    wanted = number.strip().upper()
    found = session.scalar(select(ConsignorRow).where(ConsignorRow.number == wanted))
    if found is None:
        raise NotSavedError(
            f"no consignor {number.strip()[:20]!r} is kept", remedy="look in the list of consignors"
        )
    return found
