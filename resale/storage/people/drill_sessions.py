"""Sessions of drills: which cards were drawn for whom, in which order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import (
    DrillSessionRow,
)
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored, told
from resale.storage.items.store import NotSavedError
from resale.storage.people.people import Person, person_of
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned


class NoSuchSessionError(NotSavedError):
    """No session, or no person, is kept under this name."""


@dataclass(frozen=True, slots=True)
class SavedSession:
    """The cards of a session, as they were chosen, and whose they are."""

    key: str
    person: Person
    plan: tuple[Planned, ...]
    made_at: datetime


def save_session(
    engine: Engine, key: str, person_id: int, plan: Sequence[Planned], at: datetime
) -> None:
    """Keep the cards of a session; the same key keeps the first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    key : str
        Of the session.
    person_id : int
    plan : sequence of Planned
        Its cards, in order.
    at : datetime
        Now, with its zone.
    """
    cards = [_plain(one) for one in plan]
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            insert(session, DrillSessionRow)
            .values(client_key=key, person_id=person_id, plan={"cards": cards}, made_at=stored(at))
            .on_conflict_do_nothing(index_elements=["client_key"])
        )


def session_of(engine: Engine, key: str) -> SavedSession:
    """Find a session.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    key : str
        Of the session.

    Returns
    -------
    SavedSession

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
        return SavedSession(row.client_key, person_of(person), plan, told(row.made_at))


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
        "sign": one.sign,
        "because": one.because,
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
    # Sessions of before name no sign and no reason.
    return Planned(
        drill, plain["seed"], plain["why"], plain.get("sign", ""), plain.get("because", "")
    )
