"""A new link for somebody who lost the password, or for the first owner."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.invitations import make_entry_link as write_link
from resale.storage.people.people import Person
from resale.storage.people.second_steps import take_all_off
from resale.storage.people.sessions import end_all_sessions

FIRST_OWNER = "the first owner"


def make_entry_link(records: Engine, actor: Actor, person: Person | None, at: datetime) -> str:
    """Make a link that lets somebody in once; earlier ones of a person are void.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever makes it.
    person : Person or None
        For whom; None for the first owner of a shop that has nobody yet.
    at : datetime
        Now.

    Returns
    -------
    str
        The token of the link, which is kept nowhere.
    """
    with transaction(records, actor, at) as work:
        token = write_link(work.session, person.id if person else None, at)
        work.log("made an entry link", person.name if person else FIRST_OWNER)
    return token


def take_second_steps_off(records: Engine, actor: Actor, person: Person, at: datetime) -> str:
    """Take every second step off somebody who lost them all, and make a link that lets them in.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever takes them off.
    person : Person
        From whom; they are signed out everywhere.
    at : datetime
        Now.

    Returns
    -------
    str
        The token of the link.
    """
    with transaction(records, actor, at) as work:
        take_all_off(work.session, person)
        end_all_sessions(work.session, person.id, at)
        token = write_link(work.session, person.id, at)
        work.log("took somebody's second step off", person.name)
    return token
