"""What a shop changed in the rule book: rows of its records, oldest first.

Each says which change it was made from. Of two leads who change the book at once, the second is
refused, and shown what the first one did.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine, func, inspect, select
from sqlalchemy.orm import Session

from resale.errors import RuleBookError
from resale.garments.rulebook.overlay import Overlay, RuleChange, read_overlay
from resale.storage.db.shared_tables import RuleChangeRow
from resale.storage.db.utc import stored

FILE_NAME = "rule_changes.toml"
TAKEN_IN = "rule_changes.taken-in.toml"
_log = logging.getLogger(__name__)


class ChangedMeanwhileError(RuleBookError):
    """Somebody else changed the rule book since this change was drawn up.

    Attributes
    ----------
    theirs : tuple of RuleChange
        What they changed.
    """

    def __init__(self, theirs: tuple[RuleChange, ...]) -> None:
        who = " and ".join(sorted({one.who for one in theirs})) or "somebody"
        super().__init__(
            f"{who} changed the rule book since this was worked out, and nothing of yours is saved",
            remedy="look at both, and work yours out again on top of theirs",
        )
        self.theirs = theirs


def changes_of(records: Engine) -> tuple[RuleChange, ...]:
    """List a shop's changes of the rule book, the oldest first."""
    if not inspect(records).has_table(RuleChangeRow.__tablename__):
        # Records of an earlier version, looked at before they are brought up to date.
        return ()
    with Session(records) as session:
        return _changes(session, after=0)


def newest_change(records: Engine) -> int:
    """Number of the newest change; 0 where there is none."""
    with Session(records) as session:
        return _newest(session)


def write_changes(
    session: Session, changes: Sequence[RuleChange], *, made_from: int, at: datetime
) -> None:
    """Add changes to the rule book, all or none.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    made_from : int
        Number of the newest change that whoever made these had seen, see `newest_change`.

    Raises
    ------
    ChangedMeanwhileError
        If there is a newer one.
    """
    if _newest(session) != made_from:
        raise ChangedMeanwhileError(_changes(session, after=made_from))
    session.add_all(_row(one, made_from, at) for one in changes)


def take_in_file(records: Engine, folder: Path, at: datetime) -> None:
    """Take in changes that an earlier version kept in a file; the file gets another name.

    Parameters
    ----------
    records : Engine
    folder : Path
        The data folder.
    at : datetime
        Now, with its zone.

    Raises
    ------
    RuleBookError
        If the file cannot be read.
    """
    path = folder / FILE_NAME
    if not path.is_file():
        return
    found = read_overlay(path).change
    try:
        with Session(records.execution_options(writes=True)) as session, session.begin():
            write_changes(session, found, made_from=0, at=at)
    except ChangedMeanwhileError:
        # Another machine of the shop, or an old file that somebody laid there.
        _log.warning("%s is not followed: the shop has changes of its own already", path)
        return
    path.replace(folder / TAKEN_IN)


def overlay_of(records: Engine | None, folder: Path) -> Overlay:
    """Give a shop's changes; of a shop without records, those of its file.

    Parameters
    ----------
    records : Engine or None
    folder : Path
        The data folder.

    Returns
    -------
    Overlay
    """
    if records is None:
        return read_overlay(folder / FILE_NAME)
    return Overlay(change=changes_of(records))


def _newest(session: Session) -> int:
    return session.scalar(select(func.max(RuleChangeRow.id))) or 0


def _changes(session: Session, after: int) -> tuple[RuleChange, ...]:
    rows = session.scalars(
        select(RuleChangeRow).where(RuleChangeRow.id > after).order_by(RuleChangeRow.id)
    )
    return tuple(
        RuleChange.model_validate(
            {
                "kind": row.kind,
                "signal": row.signal,
                "option": row.option,
                "field": row.field,
                "value": row.value,
                "who": row.who,
                "when": row.day,
                "why": row.why,
            }
        )
        for row in rows
    )


def _row(one: RuleChange, made_from: int, at: datetime) -> RuleChangeRow:
    return RuleChangeRow(
        kind=one.kind,
        signal=one.signal,
        option=one.option,
        field=one.field,
        value=one.value,
        who=one.who,
        day=one.when,
        why=one.why,
        made_from=made_from,
        made_at=stored(at),
    )
