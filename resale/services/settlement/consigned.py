"""Who brought what, and which share was agreed: fixed on the day, and changed by name alone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from resale.selling.consignment.shares import share_text
from resale.services.actor import Actor
from resale.services.settlement.entered import agree_shares, enter_items
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.db.consignor_tables import BroughtRow
from resale.storage.ledger.brought import brings, takes_off
from resale.storage.ledger.consignors import ConsignorError, consignor_row
from resale.storage.ledger.ledger import item_row


def bring_items(
    shop: Shop,
    actor: Actor,
    number: str,
    items: Sequence[str],
    at: datetime,
    share: Decimal | None = None,
) -> int:
    """Write down that a consignor brought these items; all of them or none.

    Parameters
    ----------
    actor : Actor
        Whoever takes them in.
    number : str
        Of the consignor.
    at : datetime
        Now, in the shop's zone.
    share : Decimal, optional
        Agreed for these items, from 0 to 1; that of the consignor where omitted.

    Returns
    -------
    int
        Items that were not theirs yet.

    Raises
    ------
    NotSavedError
        If there is no such item or consignor.
    ConsignorError
        If somebody else brought one of them, or the share is none.
    """
    _check_share(share)
    with transaction(shop.records, actor, at) as work:
        # First, so that a new consignor's share is written down before their things take it over.
        agree_shares(work, shop)
        added = brings(work.session, number, items, at, share)
        enter_items(work, shop, added)
        if added:
            work.log("gave items to a consignor", number.strip().upper(), items=len(added))
    return len(added)


def take_item_off(shop: Shop, actor: Actor, number: str, item: str, at: datetime) -> None:
    """Undo that a consignor brought an item; what was due for it is taken back.

    Parameters
    ----------
    actor : Actor
        The lead who does it.
    number, item : str
        Of the consignor and the item.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such item or consignor.
    """
    with transaction(shop.records, actor, at) as work:
        enter_items(work, shop, [takes_off(work.session, number, item)])
        work.log("took an item off a consignor", item.strip().upper())


def agree_share(
    shop: Shop, actor: Actor, number: str, share: Decimal, at: datetime, item: str = ""
) -> None:
    """Agree another share with a consignor, for what they bring from now on, or for one item.

    Parameters
    ----------
    actor : Actor
        The lead who agreed it.
    number : str
        Of the consignor.
    share : Decimal
        From 0 to 1.
    at : datetime
        Now, in the shop's zone.
    item : str, optional
        An item of theirs: its next sale follows the new share; what was sold stays as it was.

    Raises
    ------
    NotSavedError
        If there is no such consignor or item.
    ConsignorError
        If the share is none, or somebody else brought the item.
    """
    _check_share(share)
    with transaction(shop.records, actor, at) as work:
        agree_shares(work, shop)
        owner = consignor_row(work.session, number)
        if not item:
            before, owner.share = owner.share, share_text(share)
            work.log("agreed a share", owner.number, before=before, after=str(share))
            return
        row = item_row(work.session, item)
        brought = work.session.get(BroughtRow, row.id)
        if brought is None or brought.consignor_id != owner.id:
            raise ConsignorError(
                f"{owner.number} did not bring it", where=row.number, remedy="look at the number"
            )
        before, brought.share = brought.share, share_text(share)
        work.log("agreed a share", row.number, before=before, after=str(share))


def _check_share(share: Decimal | None) -> None:
    if share is not None and not 0 <= share <= 1:
        raise ConsignorError(
            f"{str(share)[:20]} is no share",
            where="share",
            remedy="give a part of the whole, such as 50 %",
        )
