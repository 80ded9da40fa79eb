"""The transaction that something is written in: the caller's, or else one of its own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.orm import Session

Records = Engine | Session
"""The records of a shop, or a transaction that is open in them."""


@contextmanager
def writing(records: Records) -> Iterator[Session]:
    """Write in the transaction that is open, or in one of its own that is committed at the end.

    Parameters
    ----------
    records : Engine or Session
        With a session, what is written stands or falls with the rest of its transaction.
    """
    if isinstance(records, Session):
        yield records
        records.flush()
    else:
        with Session(records.execution_options(writes=True)) as session, session.begin():
            yield session


@contextmanager
def reading(records: Records) -> Iterator[Session]:
    """Read in the transaction that is open, seeing what it wrote, or in one of its own.

    Parameters
    ----------
    records : Engine or Session
    """
    if isinstance(records, Session):
        records.flush()
        yield records
    else:
        with Session(records) as session:
            yield session
