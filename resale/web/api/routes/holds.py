"""Holds: raised by a device, and cleared on a lead's word that it passes on."""

from __future__ import annotations

from resale.services.actor import Actor
from resale.services.holds.clear_hold import clear_hold
from resale.services.holds.raise_by_hand import raise_hold
from resale.services.sent import Sent
from resale.storage.ledger.hold_rows import HandRaised
from resale.storage.ledger.write_holds import Clearing, HoldError
from resale.storage.people.people import person_named
from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.parsing import read_key
from resale.web.api.requests import ClearSent, HoldSent
from resale.web.api.responses import item as item_answers
from resale.web.api.routes.items import own_key
from resale.web.api.tokens import this_device
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, current_shop


@api.post("/items/<number>/holds")
@operation("save", item_answers.HoldState, body=HoldSent, status=201, keyed=True)
def hold_item(number: str, body: HoldSent) -> item_answers.HoldState:
    """Hold an item: it gets no ticket and leaves no shop until a lead clears it.

    One that is open already is not raised twice. Which holds people raise stands in the catalogue.
    """
    shop, number = current_shop(), number_in(number)
    sent = _sent(number, body.hold, body)
    note = " ".join(body.note.split())
    raised = HandRaised(body.hold, note)
    raise_hold(shop, this_device(), number, raised, sent.key, shop.here(), sent)
    return item_answers.HoldState(number=number, hold=body.hold, open=True)


@api.post("/items/<number>/holds/<hold>/clear")
@operation("clear", item_answers.HoldState, body=ClearSent, status=201, keyed=True)
def clear_item(number: str, hold: str, body: ClearSent) -> item_answers.HoldState:
    """Clear a hold on the word of a lead, whose name stands beside it with the device's.

    The owner lets a device do this where a lead gives their word at another desk. What has to be
    confirmed stands with the hold itself.
    """
    shop, number = current_shop(), number_in(number)
    sent = _sent(number, hold, body)
    clearing = Clearing(
        " ".join(body.reason.split()), tuple(body.confirmed), body.mistake, body.early
    )
    actor = _lead(shop, body.lead)
    clear_hold(shop, actor, number, hold, clearing, sent.key, shop.here(), sent)
    return item_answers.HoldState(number=number, hold=hold, open=False)


def _sent(number: str, hold: str, body: HoldSent | ClearSent) -> Sent:
    body_sent = {"number": number, "on": hold, **body.model_dump(mode="json", exclude={"key"})}
    return Sent(own_key(read_key(body.key)), body_sent)


def _lead(shop: Shop, name: str) -> Actor:
    person = person_named(shop.records, name)
    if person is None or not person.may("lead"):
        raise HoldError("no lead of this name works here", where="lead", remedy="name a lead")
    return Actor(f"{person.name}, by {this_device().name}", person.role)
