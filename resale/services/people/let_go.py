"""Letting somebody go."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.people import let_go as write_left
from resale.storage.people.sessions import end_all_sessions


def let_go(records: Engine, actor: Actor, person_id: int, at: datetime) -> None:
    """Let somebody go: signed out everywhere, in no more; their name stays beside what they did.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever lets them go.
    person_id : int
        Of whom.
    at : datetime
        Now.

    Raises
    ------
    NotSavedError
        If there is no such person.
    LastOwnerError
        If nobody would be left who can let people in.
    """
    with transaction(records, actor, at) as work:
        person = write_left(work.session, person_id, at)
        end_all_sessions(work.session, person_id, at)
        work.log("let somebody go", person.name)
