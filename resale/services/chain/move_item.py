"""Moving things between the shops of a chain, with their life, and never for sale in two places.

The shop that has a thing passes it on first, and then the other takes it in. Whatever breaks off
in between, moving it again finishes what was begun: a parcel has a key of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from resale.errors import ResaleError
from resale.services.actor import Actor
from resale.services.chain.parcel import (
    PARCEL,
    NotMovedError,
    Parcel,
    arrived,
    parcel_of,
)
from resale.services.items.entry import entry_from_inputs
from resale.services.items.marks_off import marks_off
from resale.services.items.save_item import to_save
from resale.services.ledger.append_events import write_down
from resale.services.photos.add_photo import add_photo
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.items.new_save import NewSave
from resale.storage.items.save import save_items
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import open_rows
from resale.storage.ledger.holds import open_holds, refuse_if_held
from resale.storage.ledger.ledger import HERE, item_life, item_row
from resale.storage.ledger.standing_before import write_standing
from resale.storage.ledger.transitions import MOVED_TO
from resale.storage.people.invented_mark import is_invented
from resale.storage.photos.photos import photo_at_hand, photos_of


@dataclass(frozen=True, slots=True)
class Moved:
    """A thing that came to another shop.

    Attributes
    ----------
    number, number_there : str
        In the shop that it left, and in the one that has it now.
    held : bool
        Whether that one holds it until a lead looked.
    """

    number: str
    number_there: str
    held: bool


def move_item(source: Shop, target: Shop, actor: Actor, number: str, at: datetime) -> Moved:
    """Move a thing to another shop; asked again, it finishes what was begun.

    Parameters
    ----------
    source : Shop
        That has it.
    target : Shop
        That it goes to.
    actor : Actor
        Whoever moves it.
    number : str
        Of the thing.
    at : datetime
        Now, in the time of the chain's desk.

    Returns
    -------
    Moved

    Raises
    ------
    NotSavedError
        If there is no such thing, or nothing was ever read of it.
    HeldError
        If it is held.
    NotMovedError
        If it is sold or gone, or a consignor's, or the other shop does not know its kind.
    """
    name = target.settings.name
    if source.settings.name == name:
        raise NotMovedError("it is there already", where=number, remedy="name another shop")
    if is_invented(source.records) != is_invented(target.records):
        raise NotMovedError(
            "one of both shops is invented",
            where=number,
            remedy="move between shops that are both real, or both invented",
        )
    parcel = parcel_of(source, number, name)
    refuse_if_held(source.records, [parcel.number], "passed_on")
    new = _save_there(target, parcel)
    if not parcel.on_its_way:
        _send(source, actor, parcel, name, at)
    there = _take_in(source, target, actor, parcel, new, at)
    _photos(source, target, actor, parcel.number, there, at)
    return Moved(parcel.number, there, bool(open_holds(target.records, [there])))


def _save_there(target: Shop, parcel: Parcel) -> NewSave:
    """The thing as the other shop values it, by its own book and prices."""
    try:
        entry = entry_from_inputs(target.kind(parcel.kind), parcel.inputs, "")
    except ResaleError as fault:
        raise NotMovedError(
            f"{target.settings.name} does not sell its kind ({fault.what})",
            where=parcel.number,
            remedy="add the kind to the rule book there first",
        ) from None
    new = to_save(target, replace(entry, key=parcel.key))
    return replace(new, taken_in_on=parcel.taken_in_on, before=parcel.before)


def _send(source: Shop, actor: Actor, parcel: Parcel, to: str, at: datetime) -> None:
    gone = NewEvent(
        parcel.number,
        "passed_on",
        at.date(),
        # Sent to two shops at the same moment, it is gone for the second.
        event_key("sent to another shop", parcel.key, to),
        note=f"moved to {to}",
        data={MOVED_TO: to, PARCEL: parcel.key},
    )
    with transaction(source.records, actor, at) as work:
        write_down(work, source, [gone], "moved an item to another shop")


def _take_in(
    source: Shop, target: Shop, actor: Actor, parcel: Parcel, new: NewSave, at: datetime
) -> str:
    known = arrived(target, [parcel.key]).get(parcel.key)
    if known is not None:
        # It may have been valued again, ticketed or sold there since.
        return known
    with transaction(target.records, actor, at) as work:
        saved = save_items(work.session, [new], at, actor.name)[0]
        if saved.fresh:
            _ticket(work, source, target, parcel, saved.number)
            from_shop = source.settings.name
            work.log(
                "took an item in from another shop",
                saved.number,
                shop=from_shop,
                number=parcel.number,
            )
    return saved.number


def _ticket(work: Work, source: Shop, target: Shop, parcel: Parcel, number: str) -> None:
    """Its ticket stands, in the back room, until somebody there writes another."""
    same_money = source.settings.currency == target.settings.currency
    if parcel.ticket is None or not same_money or open_rows(work.session, [number]):
        return
    write_standing(
        work.session,
        item_row(work.session, number).id,
        parcel.key,
        parcel.ticket,
        target.settings.currency,
        parcel.ticket_since or work.at.date(),
        work.at,
        work.actor.name,
        on_rail=False,
        plan=marks_off(target, parcel.ticket),
        note=f"as it was at {source.settings.name}",
    )


def _photos(
    source: Shop, target: Shop, actor: Actor, number: str, there: str, at: datetime
) -> None:
    """Take its photos along; those that are there already are kept once."""
    if item_life(target.records, there).state.where not in HERE:
        return
    for photo in photos_of(source.records, number):
        file = photo_at_hand(source.records, source.settings.data_folder, photo.name, "full")
        if file.is_file():
            add_photo(
                target.records,
                target.settings,
                actor,
                there,
                file.read_bytes(),
                at=at,
                signal=photo.signal,
                where=f"a photo of {number}",
            )
