"""Letting somebody in: their name, their role, and the link by which they set a password."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.invitations import make_entry_link
from resale.storage.people.people import Person, Role, take_back


@dataclass(frozen=True)
class Invited:
    """Somebody with a link that lets them in.

    Attributes
    ----------
    token : str
        Of the link; it is kept nowhere and cannot be shown again.
    """

    person: Person
    token: str


def add_person(records: Engine, actor: Actor, name: str, role: Role, at: datetime) -> Invited:
    """Add somebody, or take back who had left, and make the link that lets them in.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever lets them in.
    name : str
        As it will stand beside what they do.
    role : str
    at : datetime
        Now.

    Raises
    ------
    ResaleError
        If the name is empty or too long.
    """
    with transaction(records, actor, at) as work:
        person = take_back(work.session, name, role, at)
        token = make_entry_link(work.session, person.id, at)
        work.log("let somebody in", person.name, role=person.role)
    return Invited(person, token)
