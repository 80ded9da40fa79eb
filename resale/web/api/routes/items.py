"""Items: save one, list them, open one with its life."""

from __future__ import annotations

from base64 import urlsafe_b64decode, urlsafe_b64encode
from dataclasses import asdict, replace

from flask import Response, url_for

from resale.services.items.beside_signs import said_of_care, said_of_size
from resale.services.items.entry import Entry
from resale.services.items.save_item import save_item
from resale.services.sent import Sent
from resale.services.standing.saved import saved_standings
from resale.services.standing.standing import Standing
from resale.storage.items.item_filter import ItemFilter
from resale.storage.items.item_lines import ListedItem, items_before
from resale.storage.items.store import NotSavedError, SavedItem, item_numbered
from resale.storage.ledger.brought import consignor_of
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.ledger import item_life
from resale.storage.ledger.transitions import Event
from resale.web.api.blueprint import api
from resale.web.api.operations import as_json, operation
from resale.web.api.parsing import read_key
from resale.web.api.readings import entry_of
from resale.web.api.requests import ItemToSave, LinesAsked
from resale.web.api.responses import item as item_answers
from resale.web.api.serializers import hold, stored_valuation
from resale.web.api.tokens import current_device, this_device
from resale.web.core.item_number import number_in
from resale.web.core.problems import ApiError, Fault
from resale.web.core.shop import Shop, current_shop


@api.post("/items")
@operation("save", item_answers.Saved, body=ItemToSave, status=201, keyed=True)
def save(body: ItemToSave) -> Response:
    """Save an item with its valuation, or value a saved one again.

    Sent again with the same key, it saves nothing new and gets the same answer.
    """
    shop = current_shop()
    key = own_key(read_key(body.key))
    sent = Sent(key, body.model_dump(mode="json", exclude={"key"}))
    entry, at = _entry(shop, body, key), shop.here()
    done = save_item(shop, this_device(), entry, at, sent, changes_kind=body.changes_kind)
    saved = item_answers.Saved.model_validate(asdict(done))
    answer = as_json(saved, 201)
    answer.headers["Location"] = url_for("api.item", number=saved.number)
    return answer


@api.get("/items")
@operation("read", item_answers.ItemLines, query=LinesAsked)
def items(query: LinesAsked) -> item_answers.ItemLines:
    """List the items that were valued here, the newest first, a page at a time.

    Items that are saved meanwhile do not move the pages.
    """
    shop = current_shop()
    wanted = ItemFilter(query.q or "", query.kind or "", query.where, query.consignor or "")
    found = items_before(shop.records, _place(query.cursor), query.limit + 1, wanted)
    shown = found[: query.limit]
    more = len(found) > len(shown)
    standings = saved_standings(shop, [one.number for one in shown], shop.here().date())
    lines = [_listed(one, standings.get(one.number)) for one in shown]
    return item_answers.ItemLines(items=lines, next_cursor=_cursor(shown[-1].id) if more else None)


@api.get("/items/<number>")
@operation("read", item_answers.ItemLife)
def item(number: str) -> item_answers.ItemLife:
    """Open one item: its newest valuation, its holds, and all that happened to it."""
    shop = current_shop()
    life = item_life(shop.records, number_in(number))
    saved = saved_or_none(shop, life.number)
    standing = saved_standings(shop, [life.number], shop.here().date()).get(life.number)
    inputs = saved.newest.inputs if saved else {}
    return item_answers.ItemLife(
        number=life.number,
        kind=life.kind,
        label=life.label,
        size=life.size,
        size_words=said_of_size(inputs),
        tape=str(inputs.get("tape", "")),
        care=str(inputs.get("care", "")),
        care_cautions=list(said_of_care(inputs)),
        note=life.note,
        where=life.state.where,
        consignor=consignor_of(shop.records, life.number),
        price_minor=life.state.price,
        since=life.state.since,
        ticket_minor=standing.ticket if standing else None,
        ticket_written=bool(standing and standing.written),
        tier=standing.tier if standing else "",
        route=standing.route if standing else "put_out",
        reason=standing.reason if standing else "",
        holds=[hold(one) for one in standing.holds] if standing else [],
        valuation=stored_valuation(shop, saved.newest) if saved else None,
        valued_at=saved.newest.made_at if saved else None,
        written=[_line(event) for event in life.written],
        held=[event.id for event in life.held],
    )


def own_key(key: str) -> str:
    """Give a device's key a name that no other device's key, and no form's, can have."""
    return event_key("device", str(current_device().id), key)


def _entry(shop: Shop, body: ItemToSave, key: str) -> Entry:
    number = None if body.number is None else number_in(body.number)
    entry = replace(entry_of(shop.book, body), key=key, number=number or "")
    other = number is not None and item_numbered(shop.records, number).kind != entry.kind
    if other and not body.changes_kind:
        fault = Fault(
            pointer="#/kind",
            detail=f"{number} is of another kind",
            remedy="send the kind that it has; where that was wrong, say changes_kind",
        )
        raise ApiError("bad-fields", "an item keeps its kind", faults=[fault])
    return entry


def saved_or_none(shop: Shop, number: str) -> SavedItem | None:
    """Find an item as it was valued; None where it only came in a file.

    Parameters
    ----------
    shop : Shop
    number : str
        Of the item.
    """
    try:
        return item_numbered(shop.records, number)
    except NotSavedError:
        return None


def _listed(one: ListedItem, standing: Standing | None) -> item_answers.ItemLine:
    """One line of the list; of a kind that the rule book has no more there is no ticket."""
    plain = {k: v for k, v in asdict(one).items() if k in item_answers.ItemLine.model_fields}
    stands = {
        "ticket_minor": standing.ticket if standing else None,
        "route": standing.route if standing else one.route,
        "tier": standing.tier if standing else one.tier,
    }
    return item_answers.ItemLine(estimate_minor=one.estimate, **{**plain, **stands})


def _line(event: Event) -> item_answers.Line:
    return item_answers.Line(
        id=event.id,
        what=event.what,
        day=event.day,
        amount_minor=event.amount,
        currency=event.currency,
        note=event.note,
        by=event.by,
        corrects=event.corrects,
        strikes=event.strikes,
        made_at=event.made_at,
    )


def _cursor(place: int) -> str:
    return urlsafe_b64encode(str(place).encode()).decode()


def _place(cursor: str | None) -> int | None:
    if cursor is None:
        return None
    try:
        text = urlsafe_b64decode(cursor.encode()).decode("ascii")
    except ValueError:
        text = ""
    if not (text.isdecimal() and len(text) < 18):
        fault = Fault(
            parameter="cursor",
            detail="it is no cursor of this list",
            remedy="send next_cursor as it came, or leave it out for the first page",
        )
        raise ApiError("bad-fields", "the address holds what cannot be", faults=[fault])
    return int(text)
