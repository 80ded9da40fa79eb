"""Items read twice: a day's sample, blind second looks, and whole items read for practice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy import func, select

from resale.garments.rulebook.unsorted import UNSORTED
from resale.storage.db.drill_tables import SampleRow, SecondLookRow
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading, writing
from resale.storage.people.whole_items import item_id_of


@dataclass(frozen=True, slots=True)
class SavedSample:
    """Items drawn from a day's intake; `plan` holds what they were drawn by."""

    day: date
    numbers: tuple[str, ...]
    plan: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class NewLook:
    """A reading of an item by one person.

    Attributes
    ----------
    choices : mapping of signal id to option id
    first : mapping of signal id to option id
        The first reading, as it stood then; empty where there was none to compare with.
    sampled_on : date or None
        Day of the sample that the item is from.
    """

    key: str
    number: str
    person_id: int
    choices: Mapping[str, str]
    first: Mapping[str, str]
    seconds: float
    sampled_on: date | None = None


@dataclass(frozen=True, slots=True)
class SavedLook:
    """A reading of an item as it is kept."""

    number: str
    kind: str
    person: str
    choices: Mapping[str, str]
    first: Mapping[str, str]
    seconds: float
    sampled_on: date | None
    made_at: datetime


def last_intake_day(records: Records) -> date | None:
    """Give the newest day on which an item came in, by the clock of this machine."""
    with reading(records) as session:
        newest = session.scalar(
            select(func.max(ItemRow.made_at)).where(ItemRow.id.in_(_valued_ids()))
        )
    return told(newest).astimezone().date() if newest else None


def things_of_day(records: Records, day: date) -> dict[str, str]:
    """Items that came in on a day, in order: kind by number.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    day : date
        In the shop's zone.

    Returns
    -------
    dict of str to str
    """
    start, end = (
        stored(datetime.combine(one, time()).astimezone()) for one in (day, day + timedelta(days=1))
    )
    wanted = select(ItemRow.number, ItemRow.kind).where(
        ItemRow.made_at >= start, ItemRow.made_at < end, ItemRow.id.in_(_valued_ids())
    )
    with reading(records) as session:
        return {row.number: row.kind for row in session.execute(wanted.order_by(ItemRow.id))}


def _valued_ids() -> Any:
    # A thing without a kind has no price that a second reading could confirm.
    known = select(ItemRow.id).where(ItemRow.kind != UNSORTED)
    return select(ValuationRow.item_id).where(ValuationRow.item_id.in_(known))


def save_sample(records: Records, sample: SavedSample, at: datetime) -> SavedSample:
    """Keep a day's sample; the first one drawn stays.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    sample : SavedSample
    at : datetime
        Now, with its zone.

    Returns
    -------
    SavedSample
        The one that holds for the day.
    """
    plan = {**sample.plan, "numbers": list(sample.numbers)}
    with writing(records) as session:
        session.execute(
            insert(session, SampleRow)
            .values(day=sample.day, plan=plan, made_at=stored(at))
            .on_conflict_do_nothing(index_elements=["day"])
        )
        return sample_of(session, sample.day) or sample


def sample_of(records: Records, day: date) -> SavedSample | None:
    """Find the sample of a day; None where none was drawn.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    day : date

    Returns
    -------
    SavedSample or None
    """
    with reading(records) as session:
        row = session.scalar(select(SampleRow).where(SampleRow.day == day))
        if row is None:
            return None
        return SavedSample(row.day, tuple(row.plan["numbers"]), row.plan)


def samples(records: Records, since: date) -> tuple[SavedSample, ...]:
    """The samples of the days from one on, the oldest first.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    since : date

    Returns
    -------
    tuple of SavedSample
    """
    wanted = select(SampleRow).where(SampleRow.day >= since).order_by(SampleRow.day)
    with reading(records) as session:
        return tuple(
            SavedSample(row.day, tuple(row.plan["numbers"]), row.plan)
            for row in session.scalars(wanted)
        )


def save_looks(records: Records, many: Sequence[NewLook], at: datetime) -> None:
    """Keep readings, all of them or none; the same key is kept once.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    many : sequence of NewLook
    at : datetime
        Now, with its zone.

    Raises
    ------
    NotSavedError
        If an item is not in the records.
    """
    with writing(records) as session:
        for new in many:
            session.execute(
                insert(session, SecondLookRow)
                .values(
                    client_key=new.key,
                    item_id=item_id_of(session, new.number),
                    person_id=new.person_id,
                    sampled_on=new.sampled_on,
                    reading=dict(new.choices),
                    first=dict(new.first),
                    seconds=new.seconds,
                    made_at=stored(at),
                )
                .on_conflict_do_nothing(index_elements=["client_key"])
            )


def looks(
    records: Records, sampled_on: date | None = None, *, since: datetime | None = None
) -> tuple[SavedLook, ...]:
    """Read what was looked at twice, the oldest first: all of it, or one day's sample.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    sampled_on : date, optional
        Only those of the sample of this day.
    since : datetime, optional
        Only those made from then on.

    Returns
    -------
    tuple of SavedLook
    """
    wanted = (
        select(SecondLookRow, ItemRow, PersonRow.name)
        .join(ItemRow, ItemRow.id == SecondLookRow.item_id)
        .join(PersonRow, PersonRow.id == SecondLookRow.person_id)
        .order_by(SecondLookRow.id)
    )
    if sampled_on:
        wanted = wanted.where(SecondLookRow.sampled_on == sampled_on)
    if since:
        wanted = wanted.where(SecondLookRow.made_at >= stored(since))
    with reading(records) as session:
        return tuple(_look(row, item, name) for row, item, name in session.execute(wanted))


def looks_count(records: Records) -> int:
    """How many readings there are: what is worked out from them holds until it changes."""
    with reading(records) as session:
        return session.scalar(select(func.count()).select_from(SecondLookRow)) or 0


def _look(row: SecondLookRow, item: ItemRow, person: str) -> SavedLook:
    return SavedLook(
        item.number,
        item.kind,
        person,
        row.reading,
        row.first,
        row.seconds,
        row.sampled_on,
        told(row.made_at),
    )
