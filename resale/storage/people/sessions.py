"""Sittings: one person signed in on one browser, which the shop can end at any time."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import ColumnElement, Engine, delete, select, update
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from resale.storage.db.disk_faults import disk_fault
from resale.storage.db.people_tables import PersonRow, SittingRow
from resale.storage.db.utc import stored, told
from resale.storage.people.invitations import BYTES, digest_of
from resale.storage.people.people import Person, person_of

A_DAY = timedelta(hours=14)
"""The longest sitting: one day at the desk."""

IDLE = timedelta(hours=4)
"""A browser that nobody used for so long is signed out."""

_SEEN_EVERY = timedelta(minutes=5)
_SWEPT_AFTER = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Sitting:
    """A sitting that is still good."""

    id: int
    browser: str
    made_at: datetime
    seen_at: datetime


def start_sitting(engine: Engine, person_id: int, browser: str, at: datetime) -> str:
    """Sign a person in.

    Returns
    -------
    str
        The token of the sitting, for the cookie; only its digest is kept.
    """
    token, now = secrets.token_urlsafe(BYTES), stored(at)
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(delete(SittingRow).where(SittingRow.made_at < now - _SWEPT_AFTER))
        session.add(
            SittingRow(
                digest=digest_of(token),
                person_id=person_id,
                browser=browser[:200],
                made_at=now,
                seen_at=now,
                ended_at=None,
            )
        )
    return token


def who_sits(engine: Engine, token: str, at: datetime) -> Person | None:
    """Find who is signed in by a token; None where the sitting has ended."""
    now = stored(at)
    with Session(engine) as session:
        found = session.execute(
            select(SittingRow, PersonRow)
            .join(PersonRow, PersonRow.id == SittingRow.person_id)
            .where(SittingRow.digest == digest_of(token), *_good(now))
        ).one_or_none()
        if found is None:
            return None
        sitting, person = found
        stale, sitting_id = now - sitting.seen_at > _SEEN_EVERY, sitting.id
        value = person_of(person)
    if stale:
        _seen(engine, sitting_id, now)
    return value


def _seen(engine: Engine, sitting_id: int, now: datetime) -> None:
    try:
        with Session(engine.execution_options(writes=True)) as session, session.begin():
            session.get_one(SittingRow, sitting_id).seen_at = now
    except OperationalError as fault:
        # On a full disk all that is there can still be read, by whoever was let in.
        if disk_fault(fault) is None:
            raise


def sittings_of(engine: Engine, person_id: int, at: datetime) -> tuple[Sitting, ...]:
    """List where a person is signed in, the newest first."""
    good = select(SittingRow).join(PersonRow, PersonRow.id == SittingRow.person_id)
    mine = good.where(SittingRow.person_id == person_id, *_good(stored(at)))
    with Session(engine) as session:
        return tuple(
            Sitting(
                row.id,
                row.browser,
                told(row.made_at),
                told(row.seen_at),
            )
            for row in session.scalars(mine.order_by(SittingRow.id.desc()))
        )


def end_sitting(engine: Engine, token: str, at: datetime) -> None:
    """Sign out one browser."""
    _end(engine, at, SittingRow.digest == digest_of(token))


def end_all_sittings(engine: Engine, person_id: int, at: datetime) -> None:
    """Sign a person out everywhere."""
    _end(engine, at, SittingRow.person_id == person_id)


def _end(engine: Engine, at: datetime, which: ColumnElement[bool]) -> None:
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            update(SittingRow)
            .where(which, SittingRow.ended_at.is_(None))
            .values(ended_at=stored(at))
        )


def _good(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return (
        SittingRow.ended_at.is_(None),
        SittingRow.made_at > now - A_DAY,
        SittingRow.seen_at > now - IDLE,
        PersonRow.left_at.is_(None),
    )
