"""Forgetting a consignor on request: the name and the photos go, the accounts stay."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import ColumnElement, Select, func, select, update
from sqlalchemy.orm import Session

from resale.storage.db.account_tables import EntryRow, PostingRow, StatementNameRow, StatementRow
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.tables import EventRow, ItemRow, ValuationRow
from resale.storage.db.writing import Records, reading
from resale.storage.ledger.consignors import consignor_numbered
from resale.storage.photos.write_photos import take_rows

FORGOTTEN = "forgotten"


@dataclass(frozen=True, slots=True)
class NoteFound:
    """Words that somebody typed beside a consignor's item, and that may tell of the person.

    Attributes
    ----------
    place : str
        ``item``, which the Bench can change; ``valuation``, ``ledger`` and ``account``, which are
        never changed; the last stands beside money of the consignor, not beside an item.
    """

    number: str
    place: str
    text: str


@dataclass(frozen=True, slots=True)
class Traces:
    """What is kept of a consignor beside number and money.

    Attributes
    ----------
    photos : int
        Photos of the items that they brought.
    """

    name: str
    photos: int
    notes: tuple[NoteFound, ...]


def traces_of(records: Records, number: str) -> Traces:
    """Find what is kept of a consignor.

    Parameters
    ----------
    records : Engine or Session
    number : str
        Of the consignor.

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    consignor = consignor_numbered(records, number)
    with reading(records) as session:
        count = select(func.count()).select_from(PhotoRow).where(_photos(consignor.number))
        photos = session.scalar(count) or 0
        return Traces(consignor.name, photos, _notes(session, consignor.number))


def erase_consignor(session: Session, number: str) -> list[str]:
    """Replace the name of a consignor, and take the rows of all photos of their items.

    Number, items and what was paid stay, for accounts have to be kept.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        In capitals or not.

    Returns
    -------
    list of str
        Names of the photos' files, to be removed once the transaction stands.

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    known = consignor_numbered(session, number).number
    session.execute(update(ConsignorRow).where(ConsignorRow.number == known).values(name=FORGOTTEN))
    theirs = (
        select(StatementRow.id)
        .join(ConsignorRow, ConsignorRow.id == StatementRow.consignor_id)
        .where(ConsignorRow.number == known)
    )
    session.execute(
        update(StatementNameRow)
        .where(StatementNameRow.statement_id.in_(theirs))
        .values(name=FORGOTTEN)
    )
    return take_rows(session, _photos(known))


def _items(number: str) -> Select[int]:
    return (
        select(BroughtRow.item_id)
        .join(ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id)
        .where(ConsignorRow.number == number)
    )


def _photos(number: str) -> ColumnElement[bool]:
    return PhotoRow.item_id.in_(_items(number))


def _notes(session: Session, number: str) -> tuple[NoteFound, ...]:
    """Every note of the items once, where it can be changed first."""
    found: dict[tuple[str, str], NoteFound] = {}
    items = select(ItemRow.number, ItemRow.note).where(ItemRow.id.in_(_items(number)))
    valued = (
        select(ItemRow.number, ValuationRow.inputs)
        .join(ItemRow, ItemRow.id == ValuationRow.item_id)
        .where(ItemRow.id.in_(_items(number)))
    )
    told = (
        select(ItemRow.number, EventRow.note)
        .join(ItemRow, ItemRow.id == EventRow.item_id)
        .where(ItemRow.id.in_(_items(number)))
    )
    lines = [("item", one, text) for one, text in session.execute(items)]
    lines += [("valuation", one, inputs.get("note", "")) for one, inputs in session.execute(valued)]
    lines += [("ledger", one, text) for one, text in session.execute(told)]
    entered = (
        select(ConsignorRow.number, EntryRow.note)
        .join(PostingRow, PostingRow.entry_id == EntryRow.id)
        .join(ConsignorRow, ConsignorRow.id == PostingRow.consignor_id)
        .where(ConsignorRow.number == number)
    )
    lines += [("account", one, text) for one, text in session.execute(entered)]
    for place, one, text in lines:
        if text:
            found.setdefault((place, f"{one}/{text}"), NoteFound(one, place, text))
    return tuple(sorted(found.values(), key=lambda note: (note.place != "item", note.number)))
