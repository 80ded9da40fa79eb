"""Asking of days on which nobody wrote down a sale, before silence is taken for 'not sold'."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.standing.desk import forget_desk
from resale.services.transaction import transaction
from resale.storage.db.tables import EventRow, QuietSpellRow
from resale.storage.ledger.quiet_days import (
    Quiet,
    not_said,
    sale_days,
    sale_days_since,
    say_quiet,
    spells_among,
)

_MEMORY = "quiet spells"
ACTION = "said of quiet days"


@dataclass(frozen=True)
class _Known:
    """Day, last event and last word that were seen, sales by day, and the spells among them."""

    key: tuple[date, int, int]
    days: dict[date, int]
    spells: list[Quiet]


def quiet_now(shop: Shop, today: date) -> list[Quiet]:
    """Spells without a sale that nobody said anything of, the newest first.

    Parameters
    ----------
    today : date
        The shop's own day.
    """
    if shop.settings.invented:
        return []
    with Session(shop.records) as session:
        last = [session.scalar(select(func.max(row.id))) or 0 for row in (EventRow, QuietSpellRow)]
        key = (today, last[0], last[1])
        known = cast("_Known | None", shop.memory.get(_MEMORY))
        if known is None or known.key != key:
            # The whole history is counted once; from then on, what was written since.
            days = sale_days_since(session, known.days, known.key[1]) if known else None
            days = days if days is not None else sale_days(session)
            found = not_said(session, spells_among(days, today))
            newest = sorted(found, key=lambda one: one.first, reverse=True)
            shop.memory[_MEMORY] = known = _Known(key, days, newest)
    return known.spells


def say_of_quiet(shop: Shop, actor: Actor, first: str, at: datetime, *, was_open: bool) -> None:
    """Write down what somebody says of a spell without sales: open, or shut.

    Where the shop was open, its days count as days on which things hung and did not sell; else
    they are left out, as they are before anybody says so.

    Parameters
    ----------
    first : str
        Its first day, year first.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    ReadingError
        If no such spell is open.
    """
    spell = next(
        (one for one in quiet_now(shop, at.date()) if one.first.isoformat() == first), None
    )
    if spell is None:
        raise ReadingError(
            "nothing is asked about these days any more",
            where="Ledger",
            remedy="open the Ledger anew: a sale was written down, or somebody answered",
        )
    with transaction(shop.records, actor, at) as work:
        say_quiet(work.session, spell, at, actor.name, was_open=was_open)
        said = "open, nothing sold" if was_open else "shut"
        work.log(ACTION, f"{spell.first} to {spell.last}", said=said)
    forget_desk(shop)
