"""Sessions: one person signed in on one browser, which the shop can end at any time."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Engine,
    Select,
    bindparam,
    delete,
    select,
    update,
)
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from resale.storage.db.disk_faults import disk_fault
from resale.storage.db.people_tables import PersonRow, UserSessionRow
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, writing
from resale.storage.people.invitations import BYTES, digest_of
from resale.storage.people.people import Person, person_of

A_DAY = timedelta(hours=14)
"""The longest session: one day at the desk."""

IDLE = timedelta(hours=4)
"""A browser that nobody used for so long is signed out."""

HALF_WAY = timedelta(minutes=10)
"""So long a session waits for its second step."""

_SEEN_EVERY = timedelta(minutes=5)
_SWEPT_AFTER = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class UserSession:
    """A session that is still good."""

    id: int
    browser: str
    made_at: datetime
    seen_at: datetime


def start_session(
    engine: Engine, person_id: int, browser: str, at: datetime, *, half: bool = False
) -> str:
    """Sign a person in.

    Parameters
    ----------
    half : bool
        Whether a second step has to be done before it opens anything.

    Returns
    -------
    str
        The token of the session, for the cookie; only its digest is kept.
    """
    token, now = secrets.token_urlsafe(BYTES), stored(at)
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(delete(UserSessionRow).where(UserSessionRow.made_at < now - _SWEPT_AFTER))
        session.add(
            UserSessionRow(
                digest=digest_of(token),
                person_id=person_id,
                browser=browser[:200],
                made_at=now,
                seen_at=now,
                ended_at=None,
                half=half,
            )
        )
    return token


def person_of_session(engine: Engine, token: str, at: datetime) -> Person | None:
    """Find who is signed in by a token; None where the session has ended.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    token : str
        From the cookie.
    at : datetime
        Now, with its zone.

    Returns
    -------
    Person or None
    """
    now = stored(at)
    told = {"digest": digest_of(token), "made": now - A_DAY, "seen": now - IDLE}
    with engine.connect() as one:
        found = one.execution_options(one_read=True).execute(_WHOSE, told).one_or_none()
    if found is None:
        return None
    if now - found.seen_at > _SEEN_EVERY:
        _seen(engine, found.session_id, now)
    return Person(found.id, found.name, found.role)


def person_of_half_session(engine: Engine, token: str, at: datetime) -> Person | None:
    """Find who has given a password and not done the second step; None where nobody waits.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    token : str
        From the cookie.
    at : datetime
        Now, with its zone.

    Returns
    -------
    Person or None
    """
    with Session(engine) as session:
        row = session.scalar(_waiting(token, stored(at)))
        return person_of(row) if row else None


def set_challenge(records: Records, token: str, challenge: str) -> None:
    """Remember what a passkey is asked in a session, half or whole, instead of what it was.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    token : str
        From the cookie.
    challenge : str
        In base 64, as in addresses.
    """
    with writing(records) as session:
        session.execute(
            update(UserSessionRow)
            .where(UserSessionRow.digest == digest_of(token))
            .values(challenge=challenge)
        )


def take_challenge(records: Records, token: str) -> str:
    """Give what a passkey was asked last, once; empty where it was asked nothing.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    token : str
        From the cookie.

    Returns
    -------
    str
    """
    meant = UserSessionRow.digest == digest_of(token)
    with writing(records) as session:
        challenge = session.scalar(select(UserSessionRow.challenge).where(meant)) or ""
        session.execute(update(UserSessionRow).where(meant).values(challenge=""))
        return challenge


def _waiting(token: str, now: datetime) -> Select[Any]:
    return (
        select(PersonRow)
        .join(UserSessionRow, PersonRow.id == UserSessionRow.person_id)
        .where(
            UserSessionRow.digest == digest_of(token),
            UserSessionRow.half.is_(True),
            UserSessionRow.made_at > now - HALF_WAY,
            *_good(now),
        )
    )


def _seen(engine: Engine, session_id: int, now: datetime) -> None:
    try:
        with Session(engine.execution_options(writes=True)) as session, session.begin():
            session.get_one(UserSessionRow, session_id).seen_at = now
    except OperationalError as fault:
        # On a full disk all that is there can still be read, by whoever was let in.
        if disk_fault(fault) is None:
            raise


def sessions_of(engine: Engine, person_id: int, at: datetime) -> tuple[UserSession, ...]:
    """List where a person is signed in, the newest first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    person_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    tuple of UserSession
    """
    good = select(UserSessionRow).join(PersonRow, PersonRow.id == UserSessionRow.person_id)
    mine = good.where(
        UserSessionRow.person_id == person_id, UserSessionRow.half.is_(False), *_good(stored(at))
    )
    with Session(engine) as session:
        return tuple(
            UserSession(
                row.id,
                row.browser,
                told(row.made_at),
                told(row.seen_at),
            )
            for row in session.scalars(mine.order_by(UserSessionRow.id.desc()))
        )


def end_session(records: Records, token: str, at: datetime) -> None:
    """Sign out one browser.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    token : str
        From the cookie.
    at : datetime
        Now, with its zone.
    """
    _end(records, at, UserSessionRow.digest == digest_of(token))


def end_all_sessions(records: Records, person_id: int, at: datetime) -> None:
    """Sign a person out everywhere.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int
    at : datetime
        Now, with its zone.
    """
    _end(records, at, UserSessionRow.person_id == person_id)


def _end(records: Records, at: datetime, which: ColumnElement[bool]) -> None:
    with writing(records) as session:
        session.execute(
            update(UserSessionRow)
            .where(which, UserSessionRow.ended_at.is_(None))
            .values(ended_at=stored(at))
        )


def _good(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return _good_since(now - A_DAY, now - IDLE)


def _good_since(
    made: datetime | BindParameter[datetime], seen: datetime | BindParameter[datetime]
) -> tuple[ColumnElement[bool], ...]:
    return (
        UserSessionRow.ended_at.is_(None),
        UserSessionRow.made_at > made,
        UserSessionRow.seen_at > seen,
        PersonRow.left_at.is_(None),
    )


# Asked before every answer, so it is put together once.
_WHOSE = (
    select(
        PersonRow.id,
        PersonRow.name,
        PersonRow.role,
        UserSessionRow.id.label("session_id"),
        UserSessionRow.seen_at,
    )
    .join(PersonRow, PersonRow.id == UserSessionRow.person_id)
    .where(
        UserSessionRow.digest == bindparam("digest"),
        UserSessionRow.half.is_(False),
        *_good_since(bindparam("made"), bindparam("seen")),
    )
)
