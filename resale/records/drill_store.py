"""People, their sessions and their answers. Rows go in and small frozen values come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Literal, cast

from sqlalchemy import Engine, func, select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.records.drill_tables import (
    DrillAnswerRow,
    DrillSessionRow,
    DrillStateRow,
    PersonRow,
)
from resale.records.store import NotSavedError
from resale.training.schedule import Drill, Progress
from resale.training.session import Planned

Role = Literal["sorter", "lead"]
LONGEST_NAME = 60


class NoSuchSessionError(NotSavedError):
    """No session, or no person, is kept under this name."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who sorts here."""

    id: int
    name: str
    role: Role


@dataclass(frozen=True, slots=True)
class SavedSession:
    """The cards of a session, as they were chosen, and whose they are."""

    key: str
    person: Person
    plan: tuple[Planned, ...]
    made_at: datetime


@dataclass(frozen=True, slots=True)
class NewAnswer:
    """One answer as it was given.

    Attributes
    ----------
    key : str
        Session and place: the same key counts once.
    seconds : float
        From the page being sent to the answer.
    """

    key: str
    person_id: int
    drill: Drill
    seed: int
    signal_ids: tuple[str, ...]
    answer: str
    truth: str
    right: bool
    seconds: float


@dataclass(frozen=True, slots=True)
class SavedAnswer:
    """One answer as it is kept."""

    key: str
    drill: str
    family: str
    level: int
    signal_ids: tuple[str, ...]
    answer: str
    truth: str
    right: bool
    seconds: float
    made_at: datetime


def add_person(engine: Engine, name: str, role: Role, at: datetime) -> Person:
    """Add a person, or find the one of this name.

    Raises
    ------
    ResaleError
        If the name is empty or too long.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME:
        raise ResaleError(
            f"a name needs 1 to {LONGEST_NAME} characters", remedy="write the name again"
        )
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            insert(PersonRow)
            .values(name=plain, role=role, made_at=stored(at))
            .on_conflict_do_nothing(index_elements=["name"])
        )
        return _person(session.scalars(select(PersonRow).where(PersonRow.name == plain)).one())


def people(engine: Engine) -> tuple[Person, ...]:
    """List everybody, leads first, then by name."""
    order = (PersonRow.role != "lead", func.lower(PersonRow.name))
    with Session(engine) as session:
        return tuple(_person(row) for row in session.scalars(select(PersonRow).order_by(*order)))


def person_by_id(engine: Engine, person_id: int) -> Person | None:
    """Find a person; None where there is none."""
    with Session(engine) as session:
        row = session.get(PersonRow, person_id)
        return _person(row) if row else None


def save_session(
    engine: Engine, key: str, person_id: int, plan: Sequence[Planned], at: datetime
) -> None:
    """Keep the cards of a session; the same key keeps the first."""
    cards = [_plain(one) for one in plan]
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            insert(DrillSessionRow)
            .values(client_key=key, person_id=person_id, plan={"cards": cards}, made_at=stored(at))
            .on_conflict_do_nothing(index_elements=["client_key"])
        )


def session_of(engine: Engine, key: str) -> SavedSession:
    """Find a session.

    Raises
    ------
    NoSuchSessionError
    """
    wanted = (
        select(DrillSessionRow, PersonRow)
        .join(PersonRow, PersonRow.id == DrillSessionRow.person_id)
        .where(DrillSessionRow.client_key == key)
    )
    with Session(engine) as session:
        found = session.execute(wanted).one_or_none()
        if found is None:
            raise NoSuchSessionError("no session is kept here", remedy="start a new one")
        row, person = found
        plan = tuple(_planned(one) for one in row.plan["cards"])
        return SavedSession(row.client_key, _person(person), plan, read(row.made_at))


def record_answer(engine: Engine, new: NewAnswer, at: datetime) -> bool:
    """Keep an answer and move the schedule with it, both or neither.

    Returns
    -------
    bool
        False where this key was answered before: then nothing changes.
    """
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        added = session.execute(
            insert(DrillAnswerRow)
            .values(_answer_values(new, at))
            .on_conflict_do_nothing(index_elements=["client_key"])
            .returning(DrillAnswerRow.id)
        ).scalar()
        if added is None:
            return False
        progress = _progress(session, new.person_id)
        state = progress.answered(new.drill, new.right, new.seconds, at).as_plain()
        values = {"state": state, "changed_at": stored(at)}
        session.execute(
            insert(DrillStateRow)
            .values(person_id=new.person_id, **values)
            .on_conflict_do_update(index_elements=["person_id"], set_=values)
        )
        return True


def progress_of(engine: Engine, person_id: int) -> Progress:
    """Where a person stands with every drill met."""
    with Session(engine) as session:
        return _progress(session, person_id)


def answers_of(engine: Engine, person_id: int) -> tuple[SavedAnswer, ...]:
    """Every answer of a person, the oldest first."""
    wanted = select(DrillAnswerRow).where(DrillAnswerRow.person_id == person_id)
    with Session(engine) as session:
        return tuple(_answer(row) for row in session.scalars(wanted.order_by(DrillAnswerRow.id)))


def answers_in(engine: Engine, key: str) -> dict[int, SavedAnswer]:
    """Answers of a session by their place, from 1."""
    with Session(engine) as session:
        rows = session.scalars(
            select(DrillAnswerRow).where(DrillAnswerRow.client_key.startswith(f"{key}/"))
        )
        return {int(row.client_key.rpartition("/")[2]): _answer(row) for row in rows}


def stored(at: datetime) -> datetime:
    """Universal time without its name: SQLite keeps none."""
    return at.astimezone(UTC).replace(tzinfo=None)


def read(at: datetime) -> datetime:
    """Give a stored time its name back."""
    return at.replace(tzinfo=UTC)


def _progress(session: Session, person_id: int) -> Progress:
    row = session.get(DrillStateRow, person_id)
    return Progress.from_plain(row.state) if row else Progress()


def _answer_values(new: NewAnswer, at: datetime) -> dict[str, Any]:
    return {
        "client_key": new.key,
        "person_id": new.person_id,
        "drill": new.drill.key,
        "family": new.drill.family,
        "level": new.drill.level,
        "seed": new.seed,
        "signals": {"ids": list(new.signal_ids)},
        "answer": new.answer,
        "truth": new.truth,
        "right": new.right,
        "seconds": new.seconds,
        "made_at": stored(at),
    }


def _answer(row: DrillAnswerRow) -> SavedAnswer:
    return SavedAnswer(
        row.client_key,
        row.drill,
        row.family,
        row.level,
        tuple(row.signals["ids"]),
        row.answer,
        row.truth,
        row.right,
        row.seconds,
        read(row.made_at),
    )


def _person(row: PersonRow) -> Person:
    return Person(row.id, row.name, cast("Role", row.role))


def _plain(one: Planned) -> dict[str, Any]:
    drill = one.drill
    return {
        "family": drill.family,
        "level": drill.level,
        "about": drill.about,
        "signals": list(drill.signal_ids),
        "zone": drill.zone,
        "seconds": drill.seconds,
        "seed": one.seed,
        "why": one.why,
    }


def _planned(plain: dict[str, Any]) -> Planned:
    drill = Drill(
        plain["family"],
        plain["level"],
        plain["about"],
        tuple(plain["signals"]),
        plain["zone"],
        plain["seconds"],
    )
    return Planned(drill, plain["seed"], plain["why"])
