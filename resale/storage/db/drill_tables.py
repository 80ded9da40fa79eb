"""The tables of the third desk: what people answered, and what was looked at twice."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import Float, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class DrillSessionRow(Base):
    """The cards of one short session, as they were chosen; never changed."""

    __tablename__ = "drill_session"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(String(64), unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    plan: Mapped[dict[str, Any]]
    made_at: Mapped[datetime]


class DrillAnswerRow(Base):
    """One answer to one card; only ever added, and sent twice it counts once."""

    __tablename__ = "drill_answer"
    __table_args__ = (
        Index("ix_drill_answer_person_id_id", "person_id", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(String(80), unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    drill: Mapped[str] = mapped_column(String(120))
    family: Mapped[str] = mapped_column(String(40))
    level: Mapped[int]
    seed: Mapped[int]
    signals: Mapped[dict[str, Any]]
    answer: Mapped[str] = mapped_column(String(200))
    truth: Mapped[str] = mapped_column(String(200))
    right: Mapped[bool]
    seconds: Mapped[float] = mapped_column(Float)
    made_at: Mapped[datetime]


class DrillStateRow(Base):
    """Where a person stands with each drill: what the answers so far come to."""

    __tablename__ = "drill_state"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    state: Mapped[dict[str, Any]]
    changed_at: Mapped[datetime]


class WholeItemRow(Base):
    """A whole item as a trainee read it, and the lead's reading that it was set against."""

    __tablename__ = "whole_item"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(String(64), unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    reading: Mapped[dict[str, Any]]
    lead: Mapped[dict[str, Any]]
    made_at: Mapped[datetime]


class SampleRow(Base):
    """Items of one day that were drawn for a blind second look; never drawn again."""

    __tablename__ = "second_look_sample"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(unique=True)
    plan: Mapped[dict[str, Any]]
    made_at: Mapped[datetime]


class SecondLookRow(Base):
    """An item read again by somebody who did not see the first reading; only ever added.

    `sampled_on` is the day whose sample the item is from; empty for readings made for practice.
    """

    __tablename__ = "second_look"
    __table_args__ = (
        Index("ix_second_look_item_id", "item_id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(String(80), unique=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    sampled_on: Mapped[date | None] = mapped_column(index=True)
    reading: Mapped[dict[str, Any]]
    first: Mapped[dict[str, Any]]
    seconds: Mapped[float] = mapped_column(Float)
    made_at: Mapped[datetime]


class WorkingAloneRow(Base):
    """Whether a lead lets somebody work alone with a kind; only ever added, the newest holds."""

    __tablename__ = "working_alone"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    kind: Mapped[str] = mapped_column(String(40))
    alone: Mapped[bool]
    why: Mapped[str] = mapped_column(String(400))
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]


class CalibrationRow(Base):
    """The things that all leads of a shop read in one quarter; drawn once."""

    __tablename__ = "calibration"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    quarter: Mapped[str] = mapped_column(String(7), unique=True)
    drawn: Mapped[dict[str, Any]]
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]


class IntroductionRow(Base):
    """In which order somebody's signs begin to be drilled, stated beforehand; the newest holds."""

    __tablename__ = "introduction"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    stated: Mapped[dict[str, Any]]
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]


class CourseRow(Base):
    """A course as a lead made it; never changed: who wants another makes another."""

    __tablename__ = "course"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    client_key: Mapped[str] = mapped_column(String(64), unique=True)
    name: Mapped[str] = mapped_column(String(60))
    plan: Mapped[dict[str, Any]]
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]


class CourseMemberRow(Base):
    """Somebody who takes a course, from when, and until when it was theirs."""

    __tablename__ = "course_member"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    course_id: Mapped[int] = mapped_column(ForeignKey("course.id"), index=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    started_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
