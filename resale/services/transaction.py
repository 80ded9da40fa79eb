"""One transaction of one actor, with its lines in the audit log."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from resale.services.actor import Actor
from resale.storage.people.audit_log import add_audit_entry


@dataclass(frozen=True)
class Work:
    """What a use case writes through.

    Attributes
    ----------
    at : datetime
        Now, in the shop's zone: its day is today.
    """

    session: Session
    actor: Actor
    at: datetime

    def log(self, what: str, about: str, **data: object) -> None:
        """Write a line of the audit log.

        Parameters
        ----------
        what : str
            What was done, in words that follow a name: ``saved an item``.
        about : str
            What it was done to.
        """
        actor = self.actor
        add_audit_entry(
            self.session,
            by_whom=actor.name,
            role=actor.role,
            what=what,
            about=about,
            at=self.at,
            data=data,
        )


@contextmanager
def transaction(records: Engine, actor: Actor, at: datetime) -> Iterator[Work]:
    """Open the one transaction of a use case: it waits for other writers, then has the records.

    Parameters
    ----------
    actor : Actor
        Whoever does it.
    at : datetime
        Now, in the shop's zone.
    """
    with Session(records.execution_options(writes=True)) as session, session.begin():
        yield Work(session, actor, at)
