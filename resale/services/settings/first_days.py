"""The first days of a shop: what is done of them, and what comes next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.services.shop import Shop
from resale.services.standing.unpriced import is_stated, unpriced
from resale.storage.backup.catalogue import backups_in, copies_folder
from resale.storage.db.account_tables import StatementRow
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import EventRow, ImportRun, ItemRow, ModelSwitch, ValuationRow

_DONE = "first days are over"


@dataclass(frozen=True)
class Step:
    """One step of the first days.

    Attributes
    ----------
    id : str
        What it is; doors have the words.
    done : bool
    needed : bool
        Whether every shop has to do it; the others are passed over once a later one is done.
    """

    id: str
    done: bool
    needed: bool = True


@dataclass(frozen=True)
class FirstDays:
    """All steps in their order, and the place of the next one."""

    steps: tuple[Step, ...]

    @property
    def done(self) -> int:
        """How many are done."""
        return sum(one.done for one in self.steps)

    @property
    def next_step(self) -> Step | None:
        """The first that is not done, unless it may be left out and the shop went on without it."""
        last = max((place for place, one in enumerate(self.steps) if one.done), default=-1)
        open_ones = (
            one
            for place, one in enumerate(self.steps)
            if not one.done and (one.needed or place > last)
        )
        return next(open_ones, None)


def first_days(shop: Shop) -> FirstDays | None:
    """Say how far a shop has come; None once nothing is left to do, and in the invented shop.

    Parameters
    ----------
    shop : Shop
    """
    if shop.settings.invented or shop.memory.get(_DONE):
        return None
    with Session(shop.records) as session:
        found = FirstDays(tuple(_steps(shop, session)))
    if found.next_step is None:
        shop.memory[_DONE] = True
        return None
    return found


def _steps(shop: Shop, session: Session) -> Iterator[Step]:
    yield Step("name", shop.settings.name != Settings.model_fields["name"].default, needed=False)
    past = _any(session, ImportRun)
    yield Step("past", past, needed=False)
    learned = _any(session, ModelSwitch)
    if past or learned:
        # What was said of ordinary things is not in prices that were learned before.
        same_book = shop.book.fingerprint == shop.changed.fingerprint
        yield Step("learn", learned and same_book)
    people = _any(session, ConsignorRow)
    yield Step("consignors", people, needed=False)
    yield Step("stock", _any(session, ValuationRow))
    yield Step("ordinary", _all_priced(shop, session))
    yield Step("out", _happened(session, "put_out"))
    yield Step("sold", _happened(session, "sold"))
    if people and _any(session, BroughtRow):
        yield Step("settle", _any(session, StatementRow))
    yield Step("copy", bool(backups_in(copies_folder(shop.settings))))


def _any(session: Session, table: type) -> bool:
    return bool(session.scalar(select(exists(select(table)))))


def _happened(session: Session, what: str) -> bool:
    """Whether it happened to something that was valued here, and not in a file of the past."""
    valued = select(ValuationRow.item_id)
    rows = select(EventRow).where(EventRow.what == what, EventRow.item_id.in_(valued))
    return bool(session.scalar(select(exists(rows))))


def _all_priced(shop: Shop, session: Session) -> bool:
    """Whether there is a price of the shop's own for every kind that was valued here."""
    valued = select(ValuationRow.item_id)
    kinds = set(session.scalars(select(ItemRow.kind).where(ItemRow.id.in_(valued)).distinct()))
    known = kinds & set(shop.book.kinds)
    return bool(known) and all(
        is_stated(shop.changed, kind) or not unpriced(shop.valuer, shop.settings, kind)
        for kind in known & set(shop.changed.kinds)
    )
