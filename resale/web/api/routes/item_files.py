"""Files of an item: its ticket as PDF, and photos that come in."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from resale.services.on_hand.parts import line_numbered
from resale.services.photos.add_photo import add_photo
from resale.services.rail.ticket_paper import lost_on_tickets, tickets_paper
from resale.storage.ledger.ledger import item_life
from resale.storage.ledger.transitions import LedgerError
from resale.web.api.blueprint import api
from resale.web.api.header_text import display_string
from resale.web.api.operations import operation
from resale.web.api.responses import item as item_answers
from resale.web.api.tokens import this_device
from resale.web.core.item_number import number_in
from resale.web.core.problems import ApiError
from resale.web.core.shop import current_shop

LOST_HEADER = "Lost-Letters"
LOST_ABOUT = (
    "Only where words of the ticket do not print as they are written: a sentence that says which, "
    "and what to do, as a Display String of RFC 9651."
)
PHOTO_TYPES = ("image/jpeg", "image/png", "image/webp")


@api.url_value_preprocessor
def _room_for_a_photo(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let a photo through that is larger than a form; asked before the body is read."""
    if endpoint == "api.photo":
        request.max_content_length = current_shop().settings.photo_mb * 1_000_000 + 1


@api.get("/items/<number>/ticket.pdf")
@operation("read", None, file="application/pdf", said={LOST_HEADER: LOST_ABOUT})
def ticket(number: str) -> Response:
    """Give the ticket of an item as PDF, on the shop's own label stock.

    Letters that no typeface here has stand as question marks on it: then Lost-Letters says so.
    """
    shop = current_shop()
    number, today = number_in(number), shop.here().date()
    line = line_numbered(shop, today, number)
    if line is None:
        where = item_life(shop.records, number).state.where
        raise LedgerError(
            f"it gets no ticket: it is {where.replace('_', ' ')}",
            where=number,
            remedy="print tickets of what is in the back room or on the rail",
        )
    answer = Response(tickets_paper(shop, [line], today), mimetype="application/pdf")
    answer.headers["Cache-Control"] = "no-store"
    if lost := lost_on_tickets(shop, [line]):
        answer.headers[LOST_HEADER] = display_string(lost)
    return answer


@api.post("/items/<number>/photos")
@operation("save", item_answers.AddedPhoto, upload=PHOTO_TYPES, status=201)
def photo(number: str) -> item_answers.AddedPhoto:
    """Keep a photo of an item; the same one sent again is kept once.

    The body is the picture itself. What the camera wrote into it, place and time, is left out.
    """
    shop = current_shop()
    number = item_life(shop.records, number_in(number)).number
    photo = add_photo(
        shop.records,
        shop.settings,
        this_device(),
        number,
        photo_in_the_body(),
        at=shop.now(),
        where="photo",
    )
    return item_answers.AddedPhoto(number=number, photo=photo)


def photo_in_the_body() -> bytes:
    """Give the photo that is the body of a request.

    Raises
    ------
    ApiError
        If the body says that it is something else.
    """
    if request.mimetype not in PHOTO_TYPES:
        raise ApiError(
            "wrong-content",
            f"the body came as {request.mimetype[:60] or 'nothing that is named'}",
            f"send one of {', '.join(PHOTO_TYPES)}",
            headers={"Accept": ", ".join(PHOTO_TYPES)},
        )
    return request.get_data()
