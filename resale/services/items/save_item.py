"""Valuing an item and saving it: the item, its valuation, what happened and its holds together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from resale.errors import ResaleError
from resale.services.actor import Actor
from resale.services.items.by_hand import BY_HAND, refuse_unfit
from resale.services.items.entry import Entry
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.standing.decide import decided_by_hand
from resale.services.standing.fresh import Looked, look_at
from resale.services.transaction import Work, transaction
from resale.storage.items.new_save import NewSave
from resale.storage.items.save import save_items
from resale.storage.items.store import item_numbered
from resale.storage.ledger.hold_rows import HandRaised, open_rows

ACTION = "saved an item"


@dataclass(frozen=True, slots=True)
class Saved:
    """An item as it was saved. Money in minor units.

    Attributes
    ----------
    ticket_minor : int or None
        None while it is held.
    holds : tuple of str
        Ids of the holds that are open now.
    look_first : tuple of str
        Ids of what is still to be looked at before a first ticket.
    """

    number: str
    estimate_minor: int
    ticket_minor: int | None
    currency: str
    tier: str
    route: str
    holds: tuple[str, ...]
    look_first: tuple[str, ...] = ()


class OtherKindError(ResaleError):
    """A saved item would become another kind of thing without anybody meaning it."""


def save_item(
    shop: Shop,
    actor: Actor,
    entry: Entry,
    at: datetime,
    sent: Sent | None = None,
    *,
    changes_kind: bool = False,
) -> Saved:
    """Value an item by the prices in use and save it, or add a valuation to a saved one.

    Parameters
    ----------
    actor : Actor
        Whoever read it.
    entry : Entry
        What was read; sent again with the same key, it saves nothing new.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is answered the same each time.
    changes_kind : bool
        That its kind was wrong, and is corrected: its ticket stands until somebody changes it.

    Raises
    ------
    NotSavedError
        If the entry names an item that is not saved.
    OtherKindError
        If that item is of another kind, and nobody said that this was wrong.
    KeyTakenError
        If the device's key came with something else.
    """
    before = item_numbered(shop.records, entry.number).kind if entry.number else entry.kind
    if before != entry.kind and not changes_kind:
        raise OtherKindError(
            f"it was saved as {before}, and this is the bench of {entry.kind}",
            where=entry.number,
            remedy="open it from its page, and say there that its kind is wrong",
        )
    if entry.by_hand is not None:
        refuse_unfit(entry.by_hand)
    entry = signed_entry(shop, entry, actor)
    looked = look_at(shop, entry, at.date())
    new = to_save(shop, entry, looked)
    with transaction(shop.records, actor, at) as work:
        saved = once(work, sent, Saved, lambda: _save(work, new, looked))
        if before != entry.kind:
            work.log("corrected a kind", saved.number, before=before, after=entry.kind)
    return saved


def save_many(
    shop: Shop, actor: Actor, many: Sequence[NewSave], at: datetime, action: str = ACTION
) -> list[str]:
    """Save several items, all of them or none; gives their numbers.

    Parameters
    ----------
    action : str
        What the audit log says of each.
    """
    with transaction(shop.records, actor, at) as work:
        return write_saves(work, many, action)


def write_saves(work: Work, many: Sequence[NewSave], action: str = ACTION) -> list[str]:
    """Save items in a transaction that is open, with a line in the audit log for each new save.

    Parameters
    ----------
    work : Work
        The transaction, and who does it.
    many : sequence of NewSave
    action : str
        What the line says was done.
    """
    saved = save_items(work.session, many, work.at, work.actor.name)
    for one in saved:
        if one.fresh:
            work.log(action, one.number)
    return [one.number for one in saved]


def signed_entry(shop: Shop, entry: Entry, actor: Actor) -> Entry:
    """Write beside each look who gave its answer.

    Parameters
    ----------
    actor : Actor
        Whoever read it now; answers that stood before keep who gave them.
    """
    before = item_numbered(shop.records, entry.number).newest.inputs if entry.number else {}
    return entry.signed(actor.name, before)


def to_save(shop: Shop, entry: Entry, looked: Looked | None = None) -> NewSave:
    """Make an entry ready to be saved.

    Parameters
    ----------
    looked : Looked, optional
        What was said of it; where omitted it is valued here, and where it goes is decided when
        somebody asks.
    """
    valued = looked.valued if looked else shop.explain(entry)
    decided = looked.decided if looked else None
    if entry.by_hand is not None:
        decided = decided_by_hand(valued, entry.by_hand)
    return NewSave(
        key=entry.key,
        number=entry.number or None,
        kind=entry.kind,
        label=entry.label,
        size=entry.size,
        note=entry.note,
        inputs=entry.inputs(),
        valued=valued,
        book_version=shop.book.version,
        book_fingerprint=shop.book.fingerprint,
        model_id=BY_HAND if entry.by_hand else shop.model_id,
        terms=shop.terms,
        decided=asdict(decided) if decided else None,
        hand_raised=(HandRaised(entry.hold, entry.hold_note),) if entry.hold else (),
    )


def _save(work: Work, new: NewSave, looked: Looked) -> Saved:
    number = write_saves(work, [new])[0]
    holds = tuple(one.hold for one in open_rows(work.session, [number]))
    standing = looked.standing
    return Saved(
        number,
        new.valued.estimate,
        None if holds else standing.ticket,
        new.valued.currency,
        new.valued.tier,
        "hold" if holds else standing.route,
        holds,
        tuple(new.inputs.get("unlooked", {})),
    )
