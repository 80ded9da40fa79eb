"""Gathering what the shops of a chain sold, from their own records, for one fit to all of it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.services.chain.desk import ChainError
from resale.services.chain.folders import folder_of
from resale.services.shop import Shop
from resale.storage.ledger.sold_items import SoldItems, sold_items
from resale.storage.warehouse.parquet import (
    ROWS,
    Piece,
    Sold,
    table_of,
    words_of,
    write_pieces,
)

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
    files = {one for one in folder.glob("*.parquet") if not one.name.endswith(ENDING)}
    brought = [one for one in sorted(files) if _shop_of(one) == name]
    if brought:
        raise ChainError(
            f"sales of it were brought by file already ({brought[0].name})",
            where=name,
            remedy="bring that file into the shop's own records, and remove it here",
        )
    folder.mkdir(parents=True, exist_ok=True)
    sold = sold_items(shop.records, book, shop.settings)
    return write_pieces(folder / f"{folder_of(name)}{ENDING}", _pieces(sold, name), book)


def gathered_of_others(folder: Path, names: Collection[str]) -> list[Path]:
    """Find what was gathered of shops that have other names than these.

    Parameters
    ----------
    folder : Path
        The warehouse.
    names : collection of str
        Of the shops of the chain.
    """
    known = {f"{folder_of(name)}{ENDING}" for name in names}
    return [one for one in sorted(folder.glob(f"*{ENDING}")) if one.name not in known]


def _shop_of(file: Path) -> str:
    """Whose sales a file holds: each is of one shop."""
    return next(iter(words_of(table_of(Piece(str(file), 0), ["shop"]).column("shop"))), "")


def _pieces(sold: SoldItems, shop: str) -> Iterator[Sold]:
    for start in range(0, len(sold), ROWS):
        rows = np.arange(start, min(start + ROWS, len(sold)))
        readings = sold.readings.rows(rows)
        yield Sold(readings, (shop,) * len(rows), sold.price[rows], sold.sold_on[rows])
