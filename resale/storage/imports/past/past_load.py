"""Loading a file of past sales after its dry run: all of it or nothing, and never twice."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow, ImportRun, ItemRow
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, writing
from resale.storage.imports.matching.column_memory import Remembered, remember, remembered
from resale.storage.imports.matching.match_cells import to_remember
from resale.storage.imports.past.past_keys import (
    LOADED,
    OF,
    as_ranges,
    known_keys,
    loaded_places,
    runs_of,
    used_numbers,
)
from resale.storage.imports.past.past_rows import PastRow
from resale.storage.imports.past.past_sales import DryRun
from resale.storage.items.label_rows import names_with
from resale.storage.ledger.effective_events import event_key, event_values
from resale.storage.ledger.item_now import new_at_once

# Numbers of our own making; a file that holds them keeps them.
_OURS = re.compile(r"Q-(\d{5,7})")
LONGEST_NUMBER = 20
# Rows that are laid out before they are written, so that memory holds no more of them.
AT_ONCE = 5_000


def load(records: Records, tried: DryRun, *, currency: str, at: datetime, by: str) -> int:
    """Write the fresh rows of a dry run as items that were taken in, put out and sold.

    Parameters
    ----------
    tried : DryRun
        What the user has seen and confirmed; its matches and words are remembered.
    at : datetime
        Now.
    by : str
        Name of whoever loads it.

    Returns
    -------
    int
        Past sales added: 0 where the same file, or the same rows, were loaded before.
    """
    with writing(records) as session:
        known = remembered(session)
        rows = _still_fresh(session, tried)
        _write(session, rows, tried, currency, at, by)
        _note_run(session, tried, rows, at)
        remember(session, _confirmed(tried), known, at)
    return len(rows)


def _note_run(session: Session, tried: DryRun, rows: list[PastRow], at: datetime) -> None:
    """Write down which rows of the file came in, so that none comes twice."""
    before = runs_of(session, tried.digest)
    if before and not rows:
        return
    counts = {
        **asdict(tried.counts),
        "fresh": len(rows),
        LOADED: as_ranges({row.place for row in rows}),
    }
    digest = tried.digest
    if before:
        counts[OF] = digest
        digest = hashlib.sha256(f"{digest}/{len(before)}".encode()).hexdigest()
    values = {"digest": digest, "name": tried.name[:200], "counts": counts}
    session.execute(insert(ImportRun).values(**values, made_at=stored(at)))


def _confirmed(tried: DryRun) -> Remembered:
    """What the user saw and let stand; a column that was only passed over may be wanted later."""
    return Remembered(to_remember(one.match for one in tried.columns), tried.told.words)


def _still_fresh(session: Session, tried: DryRun) -> list[PastRow]:
    """Leave out what another desk wrote since the dry run."""
    rows = tried.rows
    known = known_keys(session, [row.key for row in rows])
    taken = used_numbers(session, [row.item for row in rows if row.item])
    loaded = loaded_places(session, tried.digest)
    return [
        row
        for row in rows
        if row.key not in known and row.item not in taken and row.place not in loaded
    ]


def _write(
    session: Session, rows: list[PastRow], tried: DryRun, currency: str, at: datetime, by: str
) -> None:
    if not rows:
        return
    names = names_with(session, [row.label for row in rows], at, by)
    given = _numbered(session, rows)
    # Else rows with a price and rows without are written one by one.
    whole = {"render_nulls": True}
    with new_at_once(session):
        for start in range(0, len(rows), AT_ONCE):
            part, own = rows[start : start + AT_ONCE], given[start : start + AT_ONCE]
            items = [
                {
                    "id": item_id,
                    "number": number,
                    "client_key": row.key,
                    "kind": row.kind,
                    "label": names.name_of(row.label),
                    "label_written": row.label,
                    "size": row.size,
                    "note": row.note,
                    "made_at": stored(at),
                }
                for row, (item_id, number) in zip(part, own, strict=True)
            ]
            events = [
                event_values(one.pop("item_id"), one.pop("what"), one.pop("key"), at, **one)
                for row, numbers in zip(part, own, strict=True)
                for one in _events(row, *numbers, tried.digest, currency, by)
            ]
            session.execute(insert(ItemRow), items, execution_options=whole)
            session.execute(insert(EventRow), events, execution_options=whole)


def _events(
    row: PastRow, item_id: int, number: str, digest: str, currency: str, by: str
) -> Iterator[dict[str, Any]]:
    """Columns of what the file says happened."""
    own = {} if number == row.item or not row.item else {"their_number": row.item}
    for what, on, amount, data in _happened(row, own, digest):
        yield {
            "item_id": item_id,
            "what": what,
            "key": event_key(row.key, what),
            "day": on,
            "amount": amount,
            "currency": "" if amount is None else currency,
            "data": data,
            "by_whom": by,
        }


def _happened(
    row: PastRow, own: dict[str, Any], digest: str
) -> Iterator[tuple[str, date, int | None, dict[str, Any]]]:
    """What the file says happened, in order."""
    first = row.taken_in_on or row.put_out_on or row.sold_on
    past = {"choices": dict(row.choices), "past": digest[:12], **own}
    yield "taken_in", first, None, past
    ticket = row.first_ticket or row.ticket
    if row.put_out_on is not None:
        yield "put_out", row.put_out_on, ticket, _later_marks(row)
    more = {"receipt": row.receipt} if row.receipt else {}
    yield "sold", row.sold_on, row.price, {**more, **({"was": dict(row.was)} if row.was else {})}


def _later_marks(row: PastRow) -> dict[str, Any]:
    """The last ticket, where it is known to be below the first but not since when."""
    last = row.ticket or row.price
    if row.first_ticket is not None and last < row.first_ticket:
        return {"last_ticket": last}
    return {}


def _numbered(session: Session, rows: Sequence[PastRow]) -> list[tuple[int, str]]:
    """Give each row an id and a number; a number that the shop gave is kept where it can be."""
    ids = {
        int(found[1]) for row in rows if (found := _OURS.fullmatch(row.item)) and int(found[1]) > 0
    }
    free = ids - _used_ids(session, ids)
    highest = session.scalar(select(func.max(ItemRow.id))) or 0
    following = max(highest, *free, 0) + 1
    given: list[tuple[int, str]] = []
    for row in rows:
        found = _OURS.fullmatch(row.item)
        if found and int(found[1]) in free and row.item == f"Q-{int(found[1]):05d}":
            given.append((int(found[1]), row.item))
            continue
        keeps = row.item and not found and len(row.item) <= LONGEST_NUMBER
        given.append((following, row.item if keeps else f"Q-{following:05d}"))
        following += 1
    return given


def _used_ids(session: Session, ids: set[int]) -> set[int]:
    if not ids:
        return set()
    between = ItemRow.id.between(min(ids), max(ids))
    return set(session.scalars(select(ItemRow.id).where(between)))
