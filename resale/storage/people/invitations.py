"""Links that let a person in once to set a password: for a first owner, a new sorter, a lost word.

Only the digest of a link is kept, so that a copy of the records opens no door.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import update

from resale.errors import ResaleError
from resale.storage.db.people_tables import EntryLinkRow, PersonRow
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.people.people import Person, person_of

GOOD_FOR = timedelta(days=3)
BYTES = 32


class SpentLinkError(ResaleError):
    """The link was used, is too old, or never was one."""


@dataclass(frozen=True, slots=True)
class EntryLink:
    """A link that is still good; `person` is None where it makes the first owner."""

    person: Person | None


def digest_of(token: str) -> str:
    """What is kept of a token. It holds 256 random bits, so that a plain digest is enough."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def make_entry_link(
    records: Records, person_id: int | None, at: datetime, good_for: timedelta = GOOD_FOR
) -> str:
    """Make a link for a person, or for the first owner, and void the earlier ones.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int or None
        None for whoever becomes the first owner.
    at : datetime
        Now, with its zone.
    good_for : timedelta
        How long it opens.

    Returns
    -------
    str
        The token of the link, which is not kept and cannot be shown again.
    """
    token = secrets.token_urlsafe(BYTES)
    now = stored(at)
    with writing(records) as session:
        session.execute(
            update(EntryLinkRow)
            .where(EntryLinkRow.person_id == person_id, EntryLinkRow.used_at.is_(None))
            .values(used_at=now)
        )
        session.add(
            EntryLinkRow(
                digest=digest_of(token),
                person_id=person_id,
                made_at=now,
                until=now + good_for,
                used_at=None,
            )
        )
    return token


def open_entry_link(records: Records, token: str, at: datetime) -> EntryLink:
    """Look at a link without using it up.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    token : str
    at : datetime
        Now, with its zone.

    Returns
    -------
    EntryLink

    Raises
    ------
    SpentLinkError
    """
    with reading(records) as session:
        row = session.query(EntryLinkRow).filter_by(digest=digest_of(token)).one_or_none()
        if row is None or row.used_at is not None or row.until < stored(at):
            raise _spent()
        person = session.get(PersonRow, row.person_id) if row.person_id else None
        if person is not None and person.left_at is not None:
            raise _spent()
        return EntryLink(person_of(person) if person else None)


def use_entry_link(records: Records, token: str, at: datetime) -> None:
    """Use a link up; of two that try at once, one gets in.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    token : str
    at : datetime
        Now, with its zone.

    Raises
    ------
    SpentLinkError
    """
    with writing(records) as session:
        used = session.execute(
            update(EntryLinkRow)
            .where(
                EntryLinkRow.digest == digest_of(token),
                EntryLinkRow.used_at.is_(None),
                EntryLinkRow.until >= stored(at),
            )
            .values(used_at=stored(at))
            .returning(EntryLinkRow.id)
        )
        if used.first() is None:
            raise _spent()


def _spent() -> SpentLinkError:
    return SpentLinkError(
        "this link was used already or is too old",
        where="Link",
        remedy="ask the owner for a new one; an owner gets one with 'resale let-in'",
    )
