"""Giving somebody another role."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.people import Role, set_role


def change_role(records: Engine, actor: Actor, person_id: int, role: Role, at: datetime) -> None:
    """Give somebody another role; it holds from their next request on.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever gives it.
    person_id : int
        Of whom.
    role : str
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
        person = set_role(work.session, person_id, role)
        work.log("gave somebody another role", person.name, role=role)
