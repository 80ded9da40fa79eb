"""What headings and words in files of past sales were said to mean, kept for the next file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ColumnMemory
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading
from resale.storage.imports.cells.item_cells import folded

LONGEST_SAID = 400


@dataclass(frozen=True)
class Remembered:
    """What a shop's headings and words mean.

    Attributes
    ----------
    headings : mapping of str to str
        Our column by folded heading; empty for a column to pass over.
    words : mapping of (str, str) to str
        Our option by our column and folded word; empty for *not looked at*.
    """

    headings: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[tuple[str, str], str] = field(default_factory=dict)


def remembered(records: Records) -> Remembered:
    """Recall what was said of earlier files; what was said last holds."""
    headings: dict[str, str] = {}
    words: dict[tuple[str, str], str] = {}
    with reading(records) as session:
        for row in session.scalars(select(ColumnMemory).order_by(ColumnMemory.id)):
            if row.about:
                words[row.about, row.said] = row.means
            else:
                headings[row.said] = row.means
    return Remembered(headings, words)


def remember(session: Session, told: Remembered, known: Remembered, at: datetime) -> None:
    """Add what is new or said otherwise than before.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    told : Remembered
        What the user said of headings and words now.
    known : Remembered
        What is remembered already.
    at : datetime
        Now, with its zone.
    """
    made_at = stored(at)
    rows: list[dict[str, Any]] = [
        {"about": "", "said": folded(heading), "means": means}
        for heading, means in told.headings.items()
        if known.headings.get(folded(heading)) != means
    ]
    rows += [
        {"about": about, "said": folded(word), "means": means}
        for (about, word), means in told.words.items()
        if known.words.get((about, folded(word))) != means
    ]
    short = [{**row, "made_at": made_at} for row in rows if len(row["said"]) <= LONGEST_SAID]
    if short:
        session.execute(insert(ColumnMemory), short)
