"""Shares that were agreed: with a consignor, and for each thing on the day they brought it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from resale.selling.consignment.shares import share_text
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemRow
from resale.storage.ledger.ledger import ids_on_hand

# So many ids are named in one question; above, everything is read.
FEW = 500


def agree_missing(session: Session, default: Decimal) -> list[int]:
    """Write down the share of whoever, and of whatever, has none yet.

    What came in before shares were agreed, or by a file, gets that of its consignor; a consignor
    gets the shop's own of today. From then on no setting changes it.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    default : Decimal
        The shop's own, from 0 to 1.

    Returns
    -------
    list of int
        Rows of the items whose share was missing.
    """
    items = list(session.scalars(select(BroughtRow.item_id).where(BroughtRow.share.is_(None))))
    nobody = ConsignorRow.share.is_(None)
    unagreed = session.scalar(select(ConsignorRow.id).where(nobody).limit(1)) is not None
    if unagreed:
        session.execute(update(ConsignorRow).where(nobody).values(share=share_text(default)))
    if items:
        theirs = select(ConsignorRow.share).where(ConsignorRow.id == BroughtRow.consignor_id)
        session.execute(
            update(BroughtRow)
            .where(BroughtRow.share.is_(None))
            .values(share=theirs.scalar_subquery())
        )
    if unagreed or items:
        session.expire_all()
    return items


def shares_of(session: Session, items: Iterable[int]) -> dict[int, float]:
    """Consignors' agreed shares of some items, by their ids; none where none was agreed.

    Parameters
    ----------
    items : iterable of int
        Ids.
    """
    ids = list(items)
    query = select(BroughtRow.item_id, BroughtRow.share).where(BroughtRow.share.is_not(None))
    if len(ids) <= FEW:
        query = query.where(BroughtRow.item_id.in_(ids))
    return {item: float(share) for item, share in session.execute(query) if share}


def agreed_on_hand(session: Session, numbers: Collection[str] = ()) -> dict[str, float]:
    """Consignors' agreed shares of what is on hand, by item number; none where none was agreed.

    Parameters
    ----------
    session : Session
    numbers : collection of str, optional
        Of a few items that are meant; all of them where omitted, or where they are many.
    """
    query = (
        select(ItemRow.number, BroughtRow.share)
        .join(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .where(ItemRow.id.in_(ids_on_hand()), BroughtRow.share.is_not(None))
    )
    if 0 < len(numbers) <= FEW:
        query = query.where(ItemRow.number.in_(numbers))
    return {number: float(share) for number, share in session.execute(query) if share}
