"""Signing out: one browser, oneself everywhere, or somebody else whose tablet was lost."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.people import Person
from resale.storage.people.sessions import end_all_sessions, end_session


def sign_out(records: Engine, actor: Actor, token: str, at: datetime) -> None:
    """Sign one browser out.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever signs out.
    token : str
        Of the session that ends.
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        end_session(work.session, token, at)
        work.log("signed out", actor.name)


def sign_out_everywhere(records: Engine, actor: Actor, person: Person, at: datetime) -> None:
    """Sign somebody out on every browser.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever does it: the person, or an owner.
    person : Person
        Who is signed out.
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        end_all_sessions(work.session, person.id, at)
        own = person.name == actor.name
        work.log("signed out everywhere" if own else "signed somebody out", person.name)
