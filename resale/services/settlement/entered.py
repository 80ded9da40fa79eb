"""Keeping the accounts in line with the Ledger, inside the transaction that writes it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.selling.consignment.tax import TaxTerms
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import item_row
from resale.storage.ledger.write_events import WrittenEvent
from resale.storage.settlement.agreed_shares import agree_missing
from resale.storage.settlement.item_postings import post_item, sale_terms

THE_ACCOUNTS = Actor("the accounts", "rules")
_MONEY = frozenset({"sold", "returned", "passed_on", "corrected"})


def with_terms(work: Work, shop: Shop, events: Sequence[NewEvent]) -> list[NewEvent]:
    """Write beside each sale under which terms it is made: agreed share and tax of today.

    Parameters
    ----------
    work : Work
        The open transaction: terms are read as they stand in it.
    shop : Shop
        For its own share and tax, where a consignor agreed on none.
    events : sequence of NewEvent
        What is about to be written; only sales are changed.

    Returns
    -------
    list of NewEvent
        The same events in the same order.
    """
    if any(one.what in _MONEY for one in events):
        agree_shares(work, shop)
    tax = TaxTerms.of(shop.settings)
    return [
        replace(
            one,
            data={
                **one.data,
                **sale_terms(work.session, item_row(work.session, one.number).id, tax),
            },
        )
        if one.what == "sold"
        else one
        for one in events
    ]


def enter_events(work: Work, events: Sequence[NewEvent], written: Sequence[WrittenEvent]) -> None:
    """Enter what the money of some events means for the accounts.

    Parameters
    ----------
    work : Work
        The open transaction, in which the events themselves were written too.
    events : sequence of NewEvent
        What happened, with its terms; whatever moves no money enters nothing.
    written : sequence of WrittenEvent
        The same as they stand in the Ledger.
    """
    told = zip(events, written, strict=True)
    for item in dict.fromkeys(one.item for new, one in told if new.what in _MONEY):
        post_item(work.session, item, work.at, work.actor.name)


def enter_items(work: Work, shop: Shop, items: Iterable[int]) -> None:
    """Bring the accounts of some items in line with their lives.

    Parameters
    ----------
    items : iterable of int
        Rows of items.
    """
    agree_shares(work, shop)
    for item in items:
        post_item(work.session, item, work.at, work.actor.name)


def catch_up_accounts(shop: Shop, at: datetime) -> int:
    """Agree shares that are missing, and enter what was sold before there were accounts.

    Parameters
    ----------
    shop : Shop
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    int
        Items whose share was written down.
    """
    with Session(shop.records) as session:
        open_ones = [
            session.scalar(select(column).where(share.is_(None)).limit(1))
            for column, share in (
                (BroughtRow.item_id, BroughtRow.share),
                (ConsignorRow.id, ConsignorRow.share),
            )
        ]
    if open_ones == [None, None]:
        return 0
    with transaction(shop.records, THE_ACCOUNTS, at) as work:
        count = agree_shares(work, shop)
        work.log("wrote agreed shares down", f"{count} items")
    return count


def agree_shares(work: Work, shop: Shop) -> int:
    """Write missing shares down, and enter what was sold of those items already.

    Parameters
    ----------
    work : Work
        The open transaction.
    shop : Shop
        For its own share.

    Returns
    -------
    int
        Items whose share was missing.
    """
    items = agree_missing(work.session, shop.settings.consignor_share)
    for item in items:
        post_item(work.session, item, work.at, work.actor.name)
    return len(items)
