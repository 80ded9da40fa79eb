"""Somebody takes up the link that lets them in: their password is set, and the link is spent."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.invitations import EntryLink, use_entry_link
from resale.storage.people.passwords import set_password
from resale.storage.people.people import Person, add_person
from resale.storage.people.sessions import end_all_sessions


def take_up_link(
    records: Engine, token: str, link: EntryLink, name: str, password: str, at: datetime
) -> Person:
    """Use a link up and set the password, both or neither; earlier sessions end.

    Parameters
    ----------
    records : Engine
    token : str
        Of the link.
    link : EntryLink
        What it is for, as it was looked at.
    name : str
        Of the first owner, where the link makes one.
    password : str
        The new one.
    at : datetime
        Now.

    Returns
    -------
    Person
        Whoever came in by it.

    Raises
    ------
    SpentLinkError
        If somebody was quicker.
    WeakPasswordError
        If the password is too short, too long or too easily guessed; the link stays good.
    """
    known = link.person
    actor = Actor(known.name, known.role) if known else Actor(name, "owner")
    with transaction(records, actor, at) as work:
        use_entry_link(work.session, token, at)
        person = known or add_person(work.session, name, "owner", at)
        set_password(work.session, person, password)
        end_all_sessions(work.session, person.id, at)
        work.log("set a password by a link", person.name)
    return person
