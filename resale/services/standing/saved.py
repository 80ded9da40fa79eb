"""How saved items stand: what was decided as they were valued, their tickets and open holds."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.garments.rulebook.unsorted import UNSORTED
from resale.safety.holds import Hold
from resale.services.items.by_hand import NO_PRICE
from resale.services.shop import Shop
from resale.services.standing.decide import decide
from resale.services.standing.desk import desk_of
from resale.services.standing.standing import Decided, HandPrice, Standing, standing_of
from resale.services.standing.unpriced import unpriced
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.items.latest_readings import ItemRead, items_read, readings_of
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.holds import open_holds
from resale.storage.ledger.item_now import newest_valuations
from resale.storage.ledger.looked import names_of, unlooked_by_item
from resale.storage.ledger.transitions import VALUED, Event, State, follow, held
from resale.storage.settlement.agreed_shares import shares_of

_MEMORY = "decided"
# So many ids are named in one question; above, everything is read.
_FEW = 500
_PRICED = ("ticketed", "put_out", "marked_down")


@dataclass(frozen=True, slots=True)
class _Life:
    """What the Ledger says of an item."""

    state: State
    hand: HandPrice | None
    decided: Decided | None
    valuation: int
    valued_by_hand: HandPrice | None = None


def saved_standings(shop: Shop, numbers: Collection[str], today: date) -> dict[str, Standing]:
    """Say how items stand, by their number; those of kinds that the rule book has not are left out.

    Parameters
    ----------
    numbers : collection of str
    today : date
        The shop's own day.
    """
    with Session(shop.records) as session:
        query = select(ItemRow.id, ItemRow.number, ItemRow.kind)
        rows = session.execute(query.where(ItemRow.number.in_(numbers))).all()
        ids: dict[int, str] = {row.id: row.number for row in rows}
        kinds: dict[int, str] = {row.id: row.kind for row in rows}
        lives = _lives(session, ids)
        tiers = _tiers(session, ids)
        agreed = shares_of(session, ids)
        undecided = [one for one in ids if one in lives and _is_open(lives[one], agreed.get(one))]
        missing = unlooked_by_item(session, ids)
        found = _decided_now(shop, session, undecided, lives, today, agreed)
    opened = open_holds(shop.records, numbers)
    standings = {}
    for item, number in ids.items():
        life = lives.get(item)
        decided, tier = found.get(item, (life.decided if life else None, ""))
        if life is None or decided is None:
            continue
        holds: tuple[Hold, ...] = tuple(one.rule for one in opened.get(number, ()))
        standings[number] = standing_of(
            replace(decided, share=agreed.get(item)),
            tiers.get(item, tier),
            holds,
            written=life.state.ticket,
            hand=life.hand or life.valued_by_hand,
            on_rail=life.state.where == "on_rail",
            look_first=names_of(missing.get(item, {})),
            unpriced=why_unpriced(shop, kinds[item], decided),
        )
    return standings


def _is_open(life: _Life, agreed: float | None) -> bool:
    """Whether it has to be decided now: it never was, or another share was agreed since."""
    known = life.decided
    return known is None or (life.state.ticket is None and known.share != agreed)


def why_unpriced(shop: Shop, kind: str, decided: Decided) -> str:
    """Why no ticket is proposed for an item; empty where one is.

    Parameters
    ----------
    shop : Shop
    kind : str
        As the item has it.
    decided : Decided
        What was decided of it.
    """
    if kind == UNSORTED:
        return "" if decided.suggested else NO_PRICE
    return unpriced(shop.valuer, shop.settings, kind) if kind in shop.book.kinds else ""


def _lives(session: Session, ids: Iterable[int]) -> dict[int, _Life]:
    events = effective_events()
    query = select(events).where(events.c.item_id.in_(list(ids))).order_by(events.c.id)
    lines: dict[int, list[Event]] = {}
    for row in session.execute(query):
        one = Event(row.id, row.what, row.day, row.amount, "", row.note, row.by_whom, row.data)
        lines.setdefault(row.item_id, []).append(one)
    return {item: _life(held(events)) for item, events in lines.items()}


def _life(events: list[Event]) -> _Life:
    priced = [one for one in events if one.what in _PRICED and one.amount is not None]
    valued = [one for one in events if one.what == VALUED]
    last = priced[-1] if priced else None
    by_hand = last is not None and last.data.get("hand")
    hand = HandPrice(last.note, last.by, last.day) if last is not None and by_hand else None
    data: Mapping[str, Any] = valued[-1].data if valued else {}
    decided = Decided(**data["decided"]) if "decided" in data else None
    state = follow(events)
    # The price of a thing without a kind is set by hand where it is read; so is its first ticket.
    said = None
    if decided and decided.by_hand and state.ticket in (None, decided.suggested):
        said = HandPrice(decided.by_hand, valued[-1].by, valued[-1].day)
    return _Life(state, hand, decided, int(data.get("valuation") or 0), said)


def _tiers(session: Session, ids: Iterable[int]) -> dict[int, str]:
    query = select(ValuationRow.item_id, ValuationRow.tier).where(
        ValuationRow.id.in_(newest_valuations(list(ids)))
    )
    return {row.item_id: row.tier for row in session.execute(query)}


def _decided_now(
    shop: Shop,
    session: Session,
    items: Collection[int],
    lives: Mapping[int, _Life],
    today: date,
    agreed: Mapping[int, float],
) -> dict[int, tuple[Decided, str]]:
    """Decide of items that were valued before it was kept, or came in a file; once a day each."""
    memory: dict[tuple[object, ...], tuple[Decided, str]] = shop.memory.setdefault(_MEMORY, {})
    keys = {item: (item, lives[item].valuation, today, agreed.get(item)) for item in items}
    if any(key not in memory for key in keys.values()):
        read = items_read(session, list(items) if len(items) <= _FEW else None)
        fresh = [
            read[item]
            for item, key in keys.items()
            if key not in memory and read[item].kind in shop.book.kinds
        ]
        for one, answer in zip(fresh, _decide(shop, fresh, today, agreed), strict=True):
            memory[keys[one.id]] = answer
    return {item: memory[key] for item, key in keys.items() if key in memory}


def _decide(
    shop: Shop, items: list[ItemRead], today: date, agreed: Mapping[int, float]
) -> list[tuple[Decided, str]]:
    if not items:
        return []
    readings = readings_of(items, shop.book)
    values = shop.valuer.value(readings)
    tiers = [shop.book.book.tiers[place].id for place in values.tier]
    shares = [agreed.get(one.id) for one in items]
    return list(zip(decide(desk_of(shop, today), readings, values, shares), tiers, strict=True))
