"""Whom a lead let work alone, with which kind, and why: rows that are only added."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from resale.storage.db.drill_tables import WorkingAloneRow
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing


@dataclass(frozen=True, slots=True)
class Word:
    """A lead's word on one person and one kind."""

    person_id: int
    kind: str
    alone: bool
    why: str
    by_whom: str
    at: datetime


def add_word(records: Records, word: Word) -> None:
    """Write a lead's word down; the newest on a kind holds.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    word : Word
    """
    with writing(records) as session:
        session.add(
            WorkingAloneRow(
                person_id=word.person_id,
                kind=word.kind,
                alone=word.alone,
                why=word.why[:400],
                by_whom=word.by_whom,
                made_at=stored(word.at),
            )
        )


def words_on(records: Records) -> dict[int, dict[str, Word]]:
    """The words that hold: by person, then by kind."""
    with reading(records) as session:
        rows = session.scalars(select(WorkingAloneRow).order_by(WorkingAloneRow.id))
        found: dict[int, dict[str, Word]] = {}
        for row in rows:
            word = Word(row.person_id, row.kind, row.alone, row.why, row.by_whom, told(row.made_at))
            found.setdefault(row.person_id, {})[row.kind] = word
    return found
