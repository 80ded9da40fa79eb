"""A till's sales: several things at once, and slips that are put right."""

from __future__ import annotations

from dataclasses import asdict

from resale.services.ledger.sell_basket import BasketLine, NewBasket, sell_basket
from resale.services.ledger.undo import correct_own
from resale.services.sent import Sent
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import item_life
from resale.storage.ledger.transitions import CORRECTED
from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.parsing import read_key
from resale.web.api.requests import CorrectionSent, SaleSent
from resale.web.api.responses import item as item_answers
from resale.web.api.responses import till as till_answers
from resale.web.api.routes.items import own_key
from resale.web.api.tokens import this_device
from resale.web.core.item_number import number_in
from resale.web.core.shop import current_shop


@api.post("/sales")
@operation("sell", till_answers.Sale, body=SaleSent, status=201, keyed=True)
def sale(body: SaleSent) -> till_answers.Sale:
    """Sell several things in one sale, all of them or none.

    Each is priced by its ticket unless a price comes along; a discount needs a reason; what was
    paid comes to the total. Sent again with the same key, it sells nothing more.
    """
    shop = current_shop()
    at, key = shop.here(), own_key(read_key(body.key))
    asked = body.model_dump(mode="json", exclude={"key"})
    lines = [
        BasketLine(number_in(one.number), one.price_minor, one.discount_minor) for one in body.lines
    ]
    basket = NewBasket(
        lines,
        key,
        body.day or at.date(),
        {one.payment: one.amount_minor for one in body.paid},
        body.discount_reason,
        " ".join(body.note.split()),
    )
    sold = sell_basket(shop, this_device(), basket, at, Sent(key, asked))
    return till_answers.Sale.model_validate(asdict(sold))


@api.post("/items/<number>/corrections")
@operation("sell", item_answers.Recorded, body=CorrectionSent, status=201, keyed=True)
def correct(number: str, body: CorrectionSent) -> item_answers.Recorded:
    """Put a line right that this device wrote today: its amount, its way of paying, or that it was.

    The line stays, and what is sent holds. What another wrote, or on another day, a lead corrects
    on the screen.
    """
    shop = current_shop()
    number, at = number_in(number), shop.here()
    key = own_key(read_key(body.key))
    asked = {"number": number, **body.model_dump(mode="json", exclude={"key"})}
    stands = {one.id: one for one in item_life(shop.records, number).held}
    day = body.day or (stands[body.event].day if body.event in stands else at.date())
    correction = NewEvent(
        number,
        CORRECTED,
        day,
        key,
        body.amount_minor,
        " ".join(body.note.split()),
        {"payment": body.payment} if body.payment else {},
        corrects=body.event,
        strikes=body.never,
    )
    done = correct_own(shop, this_device(), correction, at, Sent(key, asked))
    return item_answers.Recorded.model_validate(asdict(done))
