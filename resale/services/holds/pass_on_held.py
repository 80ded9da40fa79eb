"""Passing a held item on: a lead's to decide, once the warnings were read."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import write_down
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import open_rows
from resale.storage.ledger.ledger import item_row
from resale.storage.ledger.write_holds import HoldError


def pass_on_held(
    shop: Shop, actor: Actor, number: str, reason: str, key: str, at: datetime
) -> None:
    """Take a held item out of the shop.

    Parameters
    ----------
    actor : Actor
        A lead, who read what must never be done with it.
    reason : str
        Why it goes; stands in the Ledger.
    key : str
        Made by the page once.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If somebody else than a lead asks.
    LedgerError
        If it is not in the shop.
    """
    if not actor.is_lead:
        raise HoldError("only a lead passes a held item on", where=number, remedy="ask a lead")
    with transaction(shop.records, actor, at) as work:
        item = item_row(work.session, number)
        ids = sorted(one.hold for one in open_rows(work.session, [item.number]))
        new = NewEvent(
            item.number,
            "passed_on",
            at.date(),
            event_key("held away", key, number),
            note=reason,
            data={"held": ids},
            lead_knows=True,
        )
        write_down(work, shop, [new], "passed a held item on")
