"""Gathering what the shops of a chain sold, from their own records, for one fit to all of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.services.chain.desk import ChainError
from resale.services.shop import Shop
from resale.storage.ledger.sold_items import SoldItems, sold_items
from resale.storage.warehouse.parquet import ROWS, Sold, write_pieces

ENDING = ".records.parquet"


def gather_sales(shop: Shop, folder: Path, book: RuleBook, currency: str) -> int:
    """Write all that a shop sold as pieces of the chain's warehouse, in the place of the last.

    Parameters
    ----------
    shop : Shop
    folder : Path
        The warehouse.
    book : RuleBook
        Of the chain: by it they are read.
    currency : str
        Of the chain: sales in others cannot be added up with the rest.

    Returns
    -------
    int
        Sales.

    Raises
    ------
    ChainError
        If the shop's money is another, or its sales were brought by file already.
    """
    name = shop.settings.name
    if shop.settings.currency != currency:
        raise ChainError(
            f"its sales are in {shop.settings.currency}, and the chain's in {currency}",
            where=name,
            remedy="gather shops of one currency in a folder of their own",
        )
    safe = "".join(letter if letter.isalnum() else "-" for letter in name)
    brought = [one for one in folder.glob(f"{safe}-*.parquet") if not one.name.endswith(ENDING)]
    if brought:
        raise ChainError(
            f"sales of it were brought by file already ({brought[0].name})",
            where=name,
            remedy="bring that file into the shop's own records, and remove it here",
        )
    folder.mkdir(parents=True, exist_ok=True)
    sold = sold_items(shop.records, book, shop.settings)
    return write_pieces(folder / f"{safe}{ENDING}", _pieces(sold, name), book)


def _pieces(sold: SoldItems, shop: str) -> Iterator[Sold]:
    for start in range(0, len(sold), ROWS):
        rows = np.arange(start, min(start + ROWS, len(sold)))
        readings = sold.readings.rows(rows)
        yield Sold(readings, (shop,) * len(rows), sold.price[rows], sold.sold_on[rows])
