"""What came in that no kind of the book fits, gathered by what people called it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from statistics import median

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.garments.fibres.names import fold
from resale.garments.rulebook.unsorted import UNSORTED
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow


@dataclass(frozen=True)
class MissingKind:
    """Things that people called alike.

    Attributes
    ----------
    what : str
        What they were called most often.
    price : int
        Median of the prices that were set by hand, in minor units; 0 where none was.
    numbers : tuple of str
        The newest first.
    """

    what: str
    price: int
    numbers: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many there were."""
        return len(self.numbers)


def kinds_missing(engine: Engine) -> tuple[MissingKind, ...]:
    """Gather the things that have no kind yet, what came most often first."""
    query = (
        select(ItemRow.number, ValuationRow.inputs)
        .join(ItemNow, ItemNow.item_id == ItemRow.id)
        .join(ValuationRow, ValuationRow.id == ItemNow.valuation_id)
        .where(ItemRow.kind == UNSORTED)
        .order_by(ItemRow.id.desc())
    )
    groups: dict[str, list[tuple[str, str, int]]] = {}
    with Session(engine) as session:
        for number, inputs in session.execute(query):
            said = inputs.get("by_hand", {})
            what = str(said.get("what", ""))
            line = (number, what, int(said.get("price", 0)))
            groups.setdefault(fold(what), []).append(line)
    found = (_gathered(lines) for lines in groups.values())
    return tuple(sorted(found, key=lambda one: (-one.count, one.what)))


def _gathered(lines: list[tuple[str, str, int]]) -> MissingKind:
    what = Counter(one[1] for one in lines).most_common(1)[0][0]
    prices = [one[2] for one in lines if one[2]]
    return MissingKind(what, round(median(prices)) if prices else 0, tuple(x[0] for x in lines))
