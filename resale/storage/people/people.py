"""The people of a shop: names, roles, and who is still here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, cast

from sqlalchemy import Engine, Select, func, select, update
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.text_search import is_word
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.items.store import NotSavedError

Role = Literal["sorter", "lead", "owner"]
RANK: dict[str, int] = {"sorter": 0, "lead": 1, "owner": 2}
"""Roles by what they may do; each may do all that those below may."""

LONGEST_NAME = 60


class LastOwnerError(ResaleError):
    """The only owner cannot leave or step down: nobody could let people in any more."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works here."""

    id: int
    name: str
    role: Role

    def may(self, least: Role) -> bool:
        """Whether what takes at least this role is theirs to do."""
        return RANK[self.role] >= RANK[least]


def add_person(records: Records, name: str, role: Role, at: datetime) -> Person:
    """Add a person, or find the one of this name.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    name : str
    role : str
        Of a new person; somebody who is here keeps theirs.
    at : datetime
        Now, with its zone.

    Returns
    -------
    Person

    Raises
    ------
    ResaleError
        If the name is empty or too long.
    """
    plain = tidy_name(name)
    with writing(records) as session:
        row = session.scalar(_named(plain))
        if row is None:
            row = PersonRow(name=plain, role=role, secret="", made_at=stored(at))
            session.add(row)
            session.flush()
        return person_of(row)


def tidy_name(name: str) -> str:
    """Fold blanks and check the length.

    Raises
    ------
    ResaleError
    """
    plain = " ".join(name.replace("\0", " ").split())
    if not plain or len(plain) > LONGEST_NAME:
        raise ResaleError(
            f"a name needs 1 to {LONGEST_NAME} characters", remedy="write the name again"
        )
    return plain


def people(records: Records) -> tuple[Person, ...]:
    """List everybody who is here: owners, leads, then sorters, each by name."""
    here = select(PersonRow).where(PersonRow.left_at.is_(None))
    with reading(records) as session:
        everybody = map(person_of, session.scalars(here))
        # Sorted here, because databases differ in what comes first.
        return tuple(sorted(everybody, key=lambda one: (-RANK[one.role], one.name.casefold())))


def person_by_id(records: Records, person_id: int) -> Person | None:
    """Find a person; None where there is none.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int

    Returns
    -------
    Person or None
    """
    with reading(records) as session:
        row = session.get(PersonRow, person_id)
        return person_of(row) if row else None


def person_named(records: Records, name: str) -> Person | None:
    """Find somebody who is here by name, in capitals or not; None where there is none.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    name : str

    Returns
    -------
    Person or None
    """
    with reading(records) as session:
        row = session.scalar(_named(" ".join(name.split())).where(PersonRow.left_at.is_(None)))
        return person_of(row) if row else None


def has_owner(engine: Engine) -> bool:
    """Whether somebody can let others in."""
    return any(one.role == "owner" for one in people(engine))


def set_role(records: Records, person_id: int, role: Role) -> Person:
    """Give a person another role.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int
    role : str

    Returns
    -------
    Person

    Raises
    ------
    NotSavedError
        If there is no such person.
    LastOwnerError
        If nobody would be left who can let people in.
    """
    with writing(records) as session:
        row = _here(session, person_id)
        if role != "owner":
            _keep_an_owner(session, row)
        row.role = role
        return person_of(row)


def let_go(records: Records, person_id: int, at: datetime) -> Person:
    """Let a person go: they cannot sign in any more, and their name stays beside what they did.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    Person

    Raises
    ------
    NotSavedError, LastOwnerError
    """
    with writing(records) as session:
        row = _here(session, person_id)
        _keep_an_owner(session, row)
        row.left_at, row.secret = stored(at), ""
        return person_of(row)


def take_back(records: Records, name: str, role: Role, at: datetime) -> Person:
    """Add a person, or take one back who had left, in the role given.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    name : str
    role : str
    at : datetime
        Now, with its zone.

    Returns
    -------
    Person
    """
    with writing(records) as session:
        person = add_person(session, name, role, at)
        session.execute(
            update(PersonRow)
            .where(PersonRow.id == person.id, PersonRow.left_at.is_not(None))
            .values(left_at=None, role=role)
        )
        return person_of(session.get_one(PersonRow, person.id))


def person_of(row: PersonRow) -> Person:
    """Turn a row into a value."""
    return Person(row.id, row.name, cast("Role", row.role))


def _named(plain: str) -> Select[Any]:
    return select(PersonRow).where(is_word(PersonRow.name, plain))


def _here(session: Session, person_id: int) -> PersonRow:
    row = session.get(PersonRow, person_id)
    if row is None or row.left_at is not None:
        raise NotSavedError("nobody of this number works here", remedy="pick a name of the list")
    return row


def _keep_an_owner(session: Session, row: PersonRow) -> None:
    others = select(func.count()).where(
        PersonRow.role == "owner", PersonRow.left_at.is_(None), PersonRow.id != row.id
    )
    if row.role == "owner" and not session.scalar(others):
        raise LastOwnerError(
            f"{row.name} is the only owner", remedy="make somebody else an owner first"
        )
