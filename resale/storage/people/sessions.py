"""Sessions: one person signed in on one browser, which the shop can end at any time."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Engine, delete, select, update
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from resale.storage.db.disk_faults import disk_fault
from resale.storage.db.people_tables import PersonRow, UserSessionRow
from resale.storage.db.utc import stored, told
from resale.storage.people.invitations import BYTES, digest_of
from resale.storage.people.people import Person, person_of

A_DAY = timedelta(hours=14)
"""The longest session: one day at the desk."""

IDLE = timedelta(hours=4)
"""A browser that nobody used for so long is signed out."""

_SEEN_EVERY = timedelta(minutes=5)
_SWEPT_AFTER = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class UserSession:
    """A session that is still good."""

    id: int
    browser: str
    made_at: datetime
    seen_at: datetime


def start_session(engine: Engine, person_id: int, browser: str, at: datetime) -> str:
    """Sign a person in.

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
            )
        )
    return token


def person_of_session(engine: Engine, token: str, at: datetime) -> Person | None:
    """Find who is signed in by a token; None where the session has ended."""
    now = stored(at)
    with Session(engine) as session:
        found = session.execute(
            select(UserSessionRow, PersonRow)
            .join(PersonRow, PersonRow.id == UserSessionRow.person_id)
            .where(UserSessionRow.digest == digest_of(token), *_good(now))
        ).one_or_none()
        if found is None:
            return None
        user_session, person = found
        stale, session_id = now - user_session.seen_at > _SEEN_EVERY, user_session.id
        value = person_of(person)
    if stale:
        _seen(engine, session_id, now)
    return value


def _seen(engine: Engine, session_id: int, now: datetime) -> None:
    try:
        with Session(engine.execution_options(writes=True)) as session, session.begin():
            session.get_one(UserSessionRow, session_id).seen_at = now
    except OperationalError as fault:
        # On a full disk all that is there can still be read, by whoever was let in.
        if disk_fault(fault) is None:
            raise


def sessions_of(engine: Engine, person_id: int, at: datetime) -> tuple[UserSession, ...]:
    """List where a person is signed in, the newest first."""
    good = select(UserSessionRow).join(PersonRow, PersonRow.id == UserSessionRow.person_id)
    mine = good.where(UserSessionRow.person_id == person_id, *_good(stored(at)))
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


def end_session(engine: Engine, token: str, at: datetime) -> None:
    """Sign out one browser."""
    _end(engine, at, UserSessionRow.digest == digest_of(token))


def end_all_sessions(engine: Engine, person_id: int, at: datetime) -> None:
    """Sign a person out everywhere."""
    _end(engine, at, UserSessionRow.person_id == person_id)


def _end(engine: Engine, at: datetime, which: ColumnElement[bool]) -> None:
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            update(UserSessionRow)
            .where(which, UserSessionRow.ended_at.is_(None))
            .values(ended_at=stored(at))
        )


def _good(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return (
        UserSessionRow.ended_at.is_(None),
        UserSessionRow.made_at > now - A_DAY,
        UserSessionRow.seen_at > now - IDLE,
        PersonRow.left_at.is_(None),
    )
