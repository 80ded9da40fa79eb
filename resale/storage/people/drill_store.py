"""Drill sessions and their answers. Rows go in and small frozen values come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import (
    DrillAnswerRow,
    DrillStateRow,
)
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored, told
from resale.training.practice.contrasts import Given, after_answer
from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import Planned


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
    seed: int
    signal_ids: tuple[str, ...]
    answer: str
    truth: str
    right: bool
    seconds: float
    made_at: datetime

    def asked(self, planned: Planned) -> Planned:
        """What was asked, where a plan by an older version had another card in that place."""
        if (self.drill, self.seed) == (planned.drill.key, planned.seed):
            return planned
        about = self.drill.removeprefix(f"{self.family}/{self.level}").lstrip("/")
        drill = Drill(self.family, self.level, about, self.signal_ids)
        return Planned(drill, self.seed, "due")


def record_answer(engine: Engine, new: NewAnswer, at: datetime) -> bool:
    """Keep an answer and move the schedule with it, both or neither.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    new : NewAnswer
        With the key that makes sending twice count once.
    at : datetime
        Now, with its zone.

    Returns
    -------
    bool
        False where this key was answered before: then nothing changes.
    """
    return record_answers(engine, [(new, at)]) == 1


def record_answers(engine: Engine, many: Sequence[tuple[NewAnswer, datetime]]) -> int:
    """Keep answers in the order in which they were given, all of them or none.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    many : sequence of (NewAnswer, datetime)
        Each with the moment when it was given.

    Returns
    -------
    int
        How many were not known before.
    """
    added = 0
    moved: dict[int, tuple[Progress, datetime]] = {}
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        for new, at in many:
            if _add_answer(session, new, at):
                before = moved.get(new.person_id)
                progress = before[0] if before else _progress(session, new.person_id)
                asked = Planned(new.drill, new.seed, "due")
                given = Given(1, new.answer, new.truth, new.right)
                moved[new.person_id] = (
                    after_answer(progress, asked, given, new.seconds, at),
                    at,
                )
                added += 1
        for person_id, (progress, at) in moved.items():
            _write_progress(session, person_id, progress, at)
    return added


def _add_answer(session: Session, new: NewAnswer, at: datetime) -> bool:
    added = session.execute(
        insert(session, DrillAnswerRow)
        .values(_answer_values(new, at))
        .on_conflict_do_nothing(index_elements=["client_key"])
        .returning(DrillAnswerRow.id)
    ).scalar()
    return added is not None


def _write_progress(session: Session, person_id: int, progress: Progress, at: datetime) -> None:
    values = {"state": progress.as_plain(), "changed_at": stored(at)}
    session.execute(
        insert(session, DrillStateRow)
        .values(person_id=person_id, **values)
        .on_conflict_do_update(index_elements=["person_id"], set_=values)
    )


def progress_of(engine: Engine, person_id: int) -> Progress:
    """Where a person stands with every drill met.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    person_id : int

    Returns
    -------
    Progress
    """
    with Session(engine) as session:
        return _progress(session, person_id)


def answers_of(engine: Engine, person_id: int) -> tuple[SavedAnswer, ...]:
    """Every answer of a person, the oldest first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    person_id : int

    Returns
    -------
    tuple of SavedAnswer
    """
    wanted = select(DrillAnswerRow).where(DrillAnswerRow.person_id == person_id)
    with Session(engine) as session:
        return tuple(_answer(row) for row in session.scalars(wanted.order_by(DrillAnswerRow.id)))


def has_answers(engine: Engine, person_id: int) -> bool:
    """Whether a person ever answered a card.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    person_id : int

    Returns
    -------
    bool
    """
    with Session(engine) as session:
        return session.get(DrillStateRow, person_id) is not None


def answers_in(engine: Engine, key: str) -> dict[int, SavedAnswer]:
    """Answers of a session by their place, from 1, in the order in which they were given.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    key : str
        Of the session.

    Returns
    -------
    dict of int to SavedAnswer
    """
    with Session(engine) as session:
        rows = session.scalars(
            select(DrillAnswerRow)
            .where(DrillAnswerRow.client_key.startswith(f"{key}/"))
            .order_by(DrillAnswerRow.id)
        )
        return {int(row.client_key.rpartition("/")[2]): _answer(row) for row in rows}


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
        row.seed,
        tuple(row.signals["ids"]),
        row.answer,
        row.truth,
        row.right,
        row.seconds,
        told(row.made_at),
    )
