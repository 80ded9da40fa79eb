"""Value every thing of a chain's warehouse by its shop's own prices, piece by piece."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.sums.lots import Here
from resale.pricing.valuation.valuer import Valuer
from resale.storage.warehouse.libraries import of_the_chain
from resale.storage.warehouse.parquet import WHAT, Piece, Sold, pieces_of, read_piece
from resale.storage.warehouse.workers import OnWorkers


@dataclass(frozen=True)
class PieceValuer:
    """Values a piece and writes it beside others, as Parquet.

    Attributes
    ----------
    book : RuleBook
    valuers : mapping of shop to Valuer
    out : Path
        Folder that the values go to.
    """

    book: RuleBook
    valuers: Mapping[str, Valuer]
    out: Path

    def __call__(self, piece: Piece) -> int:
        """Value one piece; gives how many things it held."""
        sold = read_piece(piece, self.book)
        columns = self._values(sold, piece)
        parquet, arrow = of_the_chain("pyarrow.parquet", WHAT), of_the_chain("pyarrow", WHAT)
        name = f"{Path(piece.path).stem}-{piece.group:04d}.parquet"
        # A file gets its name once it is whole.
        parquet.write_table(arrow.table(columns), self.out / f".{name}.part")
        (self.out / f".{name}.part").replace(self.out / name)
        return len(sold.price)

    def _values(self, sold: Sold, piece: Piece) -> dict[str, Any]:
        shops = np.array(sold.shops, dtype=object)
        names = ("estimate", "low", "high", "ticket")
        found: dict[str, Any] = {name: np.empty(len(shops)) for name in names}
        tier = np.empty(len(shops), dtype=object)
        for shop in dict.fromkeys(sold.shops):
            rows = np.flatnonzero(shops == shop)
            if shop not in self.valuers:
                raise ItemFileError(
                    f"there are no prices of the shop {shop!r}",
                    where=piece.path,
                    remedy="let the chain's prices be learned again: 'resale chain fit'",
                )
            valuer = self.valuers[shop]
            now = valuer.value(sold.readings.rows(rows))
            for name in names:
                found[name][rows] = getattr(now, name)
            tier[rows] = np.array([one.id for one in valuer.book.book.tiers], object)[now.tier]
        return {"shop": shops, **found, "tier": tier}


def _work(piece: Piece, valuer: PieceValuer) -> int:
    return valuer(piece)


def value_chain(folder: Path, valuer: PieceValuer, client: Any = None) -> int:
    """Value all that a warehouse holds.

    Parameters
    ----------
    folder : Path
        Of the warehouse.
    valuer : PieceValuer
    client : distributed.Client, optional
        Whose workers do it; this process where there is none.

    Returns
    -------
    int
        How many things.
    """
    valuer.out.mkdir(parents=True, exist_ok=True)
    pieces: Sequence[Piece] = pieces_of(folder)
    lots = Here(pieces) if client is None else OnWorkers.of(client, pieces)
    return int(lots.total(_work, valuer=valuer))
