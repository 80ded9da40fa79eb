"""What happens to items at the till and on the rail."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime

from resale.services.ledger.append_events import Recorded
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.parts import line_numbered
from resale.services.rail.put_out import put_out_by_plan
from resale.services.sent import Sent
from resale.storage.ledger.event_checks import NewEvent
from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.parsing import read_key
from resale.web.api.requests import EventSent
from resale.web.api.responses import item as item_answers
from resale.web.api.routes.items import own_key
from resale.web.api.tokens import this_device
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, current_shop


@api.post("/items/<number>/events")
@operation("sell", item_answers.Recorded, body=EventSent, status=201, keyed=True)
def happened(number: str, body: EventSent) -> item_answers.Recorded:
    """Write down what happened to an item: sold in one call, returned, put out and so on.

    Sent again with the same key, it writes nothing new and gets the same answer. An item that is
    held is refused until a lead has cleared it.
    """
    shop = current_shop()
    number = number_in(number)
    key = own_key(read_key(body.key))
    sent = Sent(key, {"number": number, **body.model_dump(mode="json", exclude={"key"})})
    return item_answers.Recorded.model_validate(asdict(_write(shop, number, body, sent)))


def _write(shop: Shop, number: str, body: EventSent, sent: Sent) -> Recorded:
    at, note = shop.here(), " ".join(body.note.split())
    # Put out as the Rail does, with the ticket and the marks of its plan, where it can have one.
    line = line_numbered(shop, at.date(), number) if _planned(body, at) else None
    if line is not None:
        return put_out_by_plan(shop, this_device(), line, at, sent, note)
    day = body.day or at.date()
    data = {"payment": body.payment} if body.payment else {}
    event = NewEvent(number, body.what, day, sent.key, body.amount_minor, note, data)
    return write_event(shop, this_device(), event, at, sent)


def _planned(body: EventSent, at: datetime) -> bool:
    return body.what == "put_out" and body.amount_minor is None and body.day in (None, at.date())
