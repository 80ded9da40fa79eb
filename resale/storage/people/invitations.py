"""Links that let a person in once to set a password: for a first owner, a new sorter, a lost word.

Only the digest of a link is kept, so that a copy of the records opens no door.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select, update
from sqlalchemy.orm import Session

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
    """Make a link for a person, and void their earlier ones; or one for the first owner.

    Those for the first owner stay good side by side until one is taken: a second machine that is
    opened meanwhile prints one of its own.

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
        if person_id is not None:
            _void_all(session, person_id, now)
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
    """Use a link up, and void every other for the same; of two that try at once, one gets in.

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
    now = stored(at)
    with writing(records) as session:
        whose = select(EntryLinkRow.person_id).where(EntryLinkRow.digest == digest_of(token))
        # In one order for all, or two machines could wait for each other's link.
        good = session.scalars(
            select(EntryLinkRow)
            .where(
                EntryLinkRow.person_id.is_not_distinct_from(whose.scalar_subquery()),
                EntryLinkRow.used_at.is_(None),
            )
            .order_by(EntryLinkRow.id)
            .with_for_update()
        ).all()
        mine = next((row for row in good if row.digest == digest_of(token)), None)
        if mine is None or mine.until < now:
            raise _spent()
        owned = select(PersonRow.id).where(PersonRow.role == "owner", PersonRow.left_at.is_(None))
        if mine.person_id is None and session.scalar(owned.limit(1)) is not None:
            raise _spent()
        _void_all(session, mine.person_id, now)


def _void_all(session: Session, person_id: int | None, now: datetime) -> None:
    session.execute(
        update(EntryLinkRow)
        .where(EntryLinkRow.person_id == person_id, EntryLinkRow.used_at.is_(None))
        .values(used_at=now)
    )


def _spent() -> SpentLinkError:
    return SpentLinkError(
        "this link was used already or is too old",
        where="Link",
        remedy="ask the owner for a new one; an owner gets one with 'resale let-in'",
    )
