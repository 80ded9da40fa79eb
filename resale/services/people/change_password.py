"""Changing one's own password."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.passwords import set_password
from resale.storage.people.people import Person
from resale.storage.people.sessions import end_all_sessions


def change_password(
    records: Engine, actor: Actor, person: Person, password: str, at: datetime
) -> None:
    """Keep a new password, and sign its person out everywhere.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever changes it.
    person : Person
        Whose it is.
    password : str
        The new one.
    at : datetime
        Now.

    Raises
    ------
    WeakPasswordError
        If it is too short, too long or too easily guessed.
    """
    with transaction(records, actor, at) as work:
        set_password(work.session, person, password)
        end_all_sessions(work.session, person.id, at)
        work.log("changed their password", person.name)
