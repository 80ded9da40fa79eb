"""Stock, past sales and consignors as files that an empty shop reads in again.

Their columns are those that files brought in have: a shop that leaves, or begins anew, needs no
program to put its own files right.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.money import Money
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import EventRow, ItemRow, ValuationRow
from resale.storage.ledger.effective_events import event_of
from resale.storage.ledger.item_now import newest_valuations
from resale.storage.ledger.transitions import Event, State, follow, held

LINE = ("item", "kind", "label", "size", "tape", "care", "note", "taken_in_on", "put_out_on")
STOCK, PAST = (*LINE, "ticket", "consignor"), (*LINE, "first_ticket", "sold_on", "price")
Cells = Iterator[Sequence[str]]


@dataclass
class _Life:
    """An item with what was read of it and what happened.

    Attributes
    ----------
    beside : mapping of str to str
        What the tape and the care label say.
    """

    item: ItemRow
    events: list[Event] = field(default_factory=list)
    answers: Mapping[str, str] = field(default_factory=dict)
    beside: Mapping[str, str] = field(default_factory=dict)

    @property
    def state(self) -> State:
        return follow(self.events, self.item.number)

    def day_of(self, what: str) -> str:
        """Day on which something last happened to it; empty where it never did."""
        days = [one.day for one in self.events if one.what == what]
        return days[-1].isoformat() if days else ""


def bringable(session: Session, money: Money) -> dict[str, Cells]:
    """Give the files by their names, each with its heading first.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    money : Money
        As the shop writes it in files.

    Returns
    -------
    dict of str to iterable of rows
        Each row is its cells as text.
    """
    lives = _lives(session)
    on_hand = [one for one in lives if one.state.where in ("back_room", "on_rail")]
    sold = [one for one in lives if one.state.where == "sold"]
    query = select(BroughtRow.item_id, ConsignorRow.number).join(
        ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id
    )
    whose = {row.item_id: row.number for row in session.execute(query)}

    def stock(life: _Life) -> list[str]:
        ticket = life.state.ticket
        return [
            life.day_of("put_out") if life.state.where == "on_rail" else "",
            "" if ticket is None else f"{money.amount(ticket):f}",
            whose.get(life.item.id, ""),
        ]

    def past(life: _Life) -> list[str]:
        first = next((one.amount for one in life.events if one.what == "put_out"), None)
        price = life.state.price or 0
        return [
            _before(life.day_of("put_out"), life.day_of("sold")),
            "" if first is None else f"{money.amount(first):f}",
            life.day_of("sold"),
            f"{money.amount(price):f}",
        ]

    return {
        "stock.csv": _file(STOCK, on_hand, stock),
        "past.csv": _file(PAST, sold, past),
        "consignors.csv": _consignors(session),
    }


def _file(heading: Sequence[str], lives: Sequence[_Life], more: Any) -> Cells:
    signs = sorted({name for life in lives for name in life.answers})
    yield [*heading, *signs]
    for life in lives:
        item = life.item
        beside = [life.beside.get(name, "") for name in ("tape", "care")]
        line = [item.number, item.kind, item.label, item.size, *beside, item.note]
        yield [
            *line,
            life.day_of("taken_in"),
            *more(life),
            *(life.answers.get(name, "") for name in signs),
        ]


def _consignors(session: Session) -> Cells:
    yield ["number", "name", "share"]
    for row in session.scalars(select(ConsignorRow).order_by(ConsignorRow.id)):
        yield [row.number, row.name, row.share or ""]


def _lives(session: Session) -> list[_Life]:
    lives = {row.id: _Life(row) for row in session.scalars(select(ItemRow).order_by(ItemRow.id))}
    written: dict[int, list[Event]] = {}
    for row in session.scalars(select(EventRow).order_by(EventRow.id)):
        written.setdefault(row.item_id, []).append(event_of(row))
    for item, events in written.items():
        lives[item].events = held(events)
        arrived = next((one.data for one in lives[item].events if one.what == "taken_in"), {})
        lives[item].answers = dict(arrived.get("choices", {}))
    newest = ValuationRow.id.in_(newest_valuations())
    query = select(ValuationRow.item_id, ValuationRow.inputs).where(newest)
    for item, inputs in session.execute(query):
        lives[item].beside = {name: str(inputs.get(name, "")) for name in ("tape", "care")}
        # A measure as it was typed says more than the answer that it came to.
        lives[item].answers = {
            **inputs.get("choices", {}),
            **inputs.get("typed", {}),
            **inputs.get("looks", {}),
        }
    return list(lives.values())


def _before(day: str, sold: str) -> str:
    return day if not day or date.fromisoformat(day) <= date.fromisoformat(sold) else ""
