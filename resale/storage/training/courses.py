"""Courses and who takes them. Rows go in and small frozen values come out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import CourseMemberRow, CourseRow
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing
from resale.storage.items.store import NotSavedError
from resale.storage.people.people import Person, person_of
from resale.training.courses.course import Course


@dataclass(frozen=True, slots=True)
class SavedCourse:
    """A course as it is kept."""

    id: int
    course: Course
    by: str
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Taken:
    """A course that somebody takes, from when."""

    saved: SavedCourse
    person: Person
    since: datetime


def add_course(records: Records, key: str, course: Course, by: str, at: datetime) -> int:
    """Keep a course and give its number; the same key is kept once.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    key : str
    course : Course
    by : str
        Name of whoever made it.
    at : datetime
        Now, with its zone.
    """
    with writing(records) as session:
        session.execute(
            insert(session, CourseRow)
            .values(
                client_key=key,
                name=course.name,
                plan=course.as_plain(),
                by_whom=by,
                made_at=stored(at),
            )
            .on_conflict_do_nothing(index_elements=["client_key"])
        )
        return session.scalars(select(CourseRow.id).where(CourseRow.client_key == key)).one()


def courses(records: Records) -> tuple[SavedCourse, ...]:
    """All courses, the newest first."""
    with reading(records) as session:
        rows = session.scalars(select(CourseRow).order_by(CourseRow.id.desc()))
        return tuple(map(_saved, rows))


def course_by_id(records: Records, course_id: int) -> SavedCourse:
    """Find a course.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    course_id : int

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    with reading(records) as session:
        row = session.get(CourseRow, course_id)
        if row is None:
            raise NotSavedError("no such course is kept", remedy="pick one of the list")
        return _saved(row)


def take_course(records: Records, course_id: int, person_id: int, at: datetime) -> bool:
    """Let somebody take a course, in place of the one that they took before.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    course_id, person_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    bool
        False where they take it already: it goes on as it stands.
    """
    with writing(records) as session:
        rows = _open_rows(session, person_id)
        if any(row.course_id == course_id for row in rows):
            return False
        for row in rows:
            row.ended_at = stored(at)
        session.add(
            CourseMemberRow(course_id=course_id, person_id=person_id, started_at=stored(at))
        )
        return True


def leave_course(records: Records, course_id: int, person_id: int, at: datetime) -> bool:
    """End a course for somebody; what they answered stays.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    course_id, person_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    bool
        False where they did not take it.
    """
    with writing(records) as session:
        rows = [row for row in _open_rows(session, person_id) if row.course_id == course_id]
        for row in rows:
            row.ended_at = stored(at)
        return bool(rows)


def taken(
    records: Records, *, person_id: int | None = None, course_id: int | None = None
) -> tuple[Taken, ...]:
    """Who takes which course now, by name.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id, course_id : int, optional
        Only of this person, or of this course.
    """
    wanted = (
        select(CourseMemberRow, CourseRow, PersonRow)
        .join(CourseRow, CourseRow.id == CourseMemberRow.course_id)
        .join(PersonRow, PersonRow.id == CourseMemberRow.person_id)
        .where(CourseMemberRow.ended_at.is_(None), PersonRow.left_at.is_(None))
    )
    if person_id is not None:
        wanted = wanted.where(CourseMemberRow.person_id == person_id)
    if course_id is not None:
        wanted = wanted.where(CourseMemberRow.course_id == course_id)
    with reading(records) as session:
        found = [
            Taken(_saved(course), person_of(person), told(member.started_at))
            for member, course, person in session.execute(wanted)
        ]
    return tuple(sorted(found, key=lambda one: one.person.name.casefold()))


def _open_rows(session: Session, person_id: int) -> list[CourseMemberRow]:
    wanted = select(CourseMemberRow).where(
        CourseMemberRow.person_id == person_id, CourseMemberRow.ended_at.is_(None)
    )
    return list(session.scalars(wanted))


def _saved(row: CourseRow) -> SavedCourse:
    course = Course.from_plain(row.name, row.plan)
    return SavedCourse(row.id, course, row.by_whom, told(row.made_at))
