"""Making a course, letting people take it, and how far they are with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.training.sessions import practised_signs
from resale.services.transaction import transaction
from resale.storage.people.drill_store import answers_of
from resale.storage.people.people import Person, person_by_id
from resale.storage.training.courses import (
    Taken,
    add_course,
    course_by_id,
    leave_course,
    take_course,
    taken,
)
from resale.training.courses.course import (
    Course,
    SignStanding,
    day_of,
    first_week,
    only,
    signs_of_day,
    standings_in,
)


@dataclass(frozen=True, slots=True)
class CourseStanding:
    """How far somebody is with the course that they take.

    Attributes
    ----------
    day : int
        From 1: which day of the course today is for them.
    today : tuple of str
        Signs that a session is about today.
    sessions, answers : int
        Since the start: days on which something was done, and answers given.
    signs : tuple of SignStanding
        In the order of the course.
    """

    taken: Taken
    day: int
    today: tuple[str, ...]
    days_done: int
    answers: int
    signs: tuple[SignStanding, ...]

    @property
    def course(self) -> Course:
        """What is learned."""
        return self.taken.saved.course

    @property
    def known(self) -> int:
        """How many of its signs have reached the goal."""
        return sum(one.known for one in self.signs)

    @property
    def met(self) -> int:
        """How many of its signs were practised at all."""
        return sum(one.answered > 0 for one in self.signs)

    @property
    def is_done(self) -> bool:
        """Whether every sign has reached the goal."""
        return self.known == len(self.signs)

    @property
    def story(self) -> str:
        """Say it in a sentence."""
        count = len(self.signs)
        if self.is_done:
            return f"Done: all {count} signs have reached the goal."
        if not self.answers:
            return f"Not begun yet; {count} signs over {len(self.course.days)} days."
        return (
            f"Day {self.day} of {len(self.course.days)}: {self.met} of {count} signs met, "
            f"{self.known} have reached the goal of {self.course.goal} right in a hundred."
        )


def make_course(
    records: Engine, actor: Actor, key: str, course: Course, who: Sequence[int], at: datetime
) -> int:
    """Keep a course and let people take it.

    Parameters
    ----------
    records : Engine
    actor : Actor
        The lead who makes it.
    key : str
        The same key makes one course.
    course : Course
    who : sequence of int
        People who take it from now on.
    at : datetime
        Now.

    Returns
    -------
    int
        Its number.
    """
    with transaction(records, actor, at) as work:
        number = add_course(work.session, key, course, actor.name, at)
        names = [_taking(work.session, number, one, at) for one in who]
        work.log("made a course", course.name, people=[name for name in names if name])
    return number


def join_course(records: Engine, actor: Actor, course: int, person: int, at: datetime) -> None:
    """Let somebody take a course, in place of the one before.

    Parameters
    ----------
    records : Engine
    actor : Actor
        The lead who says so.
    course, person : int
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        name = course_by_id(work.session, course).course.name
        who = _taking(work.session, course, person, at)
        if who:
            work.log("put somebody on a course", name, person=who)


def end_course(records: Engine, actor: Actor, course: int, person: int, at: datetime) -> None:
    """End a course for somebody; what they answered stays.

    Parameters
    ----------
    records : Engine
    actor : Actor
        The lead who says so.
    course, person : int
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        found = course_by_id(work.session, course)
        who = person_by_id(work.session, person)
        if leave_course(work.session, course, person, at) and who:
            work.log("ended a course", found.course.name, person=who.name)


def standing_of(shop: Shop, person: Person, now: datetime) -> CourseStanding | None:
    """How far somebody is with their course; None where they take none.

    Parameters
    ----------
    shop : Shop
    person : Person
    now : datetime
        In the shop's zone: its day is today.
    """
    found = taken(shop.records, person_id=person.id)
    return standing_in(shop, found[-1], now) if found else None


def standing_in(shop: Shop, one: Taken, now: datetime) -> CourseStanding:
    """How far somebody is with a course that they take.

    Parameters
    ----------
    shop : Shop
    one : Taken
    now : datetime
        In the shop's zone: its day is today.
    """
    course = one.saved.course
    every = answers_of(shop.records, one.person.id)
    answers = [each for each in every if each.made_at >= one.since]
    signs = standings_in(
        course, ((sign, each.right) for each in answers for sign in each.signal_ids)
    )
    days = {each.made_at.astimezone(now.tzinfo).date() for each in answers}
    day = day_of(course, days, now.date())
    today = signs_of_day(course, day, signs)
    return CourseStanding(one, day, today, len(days), len(answers), tuple(signs.values()))


def shipped_week(shop: Shop) -> Course:
    """The first week that is shipped, without what this shop's rule book and drills do not have."""
    return only(first_week(), practised_signs(shop))


def _taking(session: Session, course: int, person: int, at: datetime) -> str:
    """Let somebody take a course; give their name, or nothing if they take it already."""
    who = person_by_id(session, person)
    if who is None:
        raise ReadingError("nobody of this number works here", remedy="pick a name of the list")
    return who.name if take_course(session, course, person, at) else ""
