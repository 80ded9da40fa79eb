"""What hangs on a rail, and how it should be balanced: items, widths, bounds by kind and size."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from resale.errors import ReadingError, SettingError
from resale.pricing.model.columns.terms import Array

# Centimetres of rail or shelf for one item, by kind: common practice, no source. A shop measures a
# full rail once and divides.
RAIL_WIDTHS: Mapping[str, float] = {
    "shirt": 2.5,
    "trousers": 3.0,
    "jacket": 5.0,
    "bag": 22.0,
    "shoes": 20.0,
    "knitwear": 4.0,
    "top": 2.0,
    "coat": 7.0,
    "rainwear": 4.5,
    "down": 9.0,
    "leather": 6.0,
    "dress": 3.0,
    "skirt": 2.5,
    "tie": 1.5,
    "scarf": 2.0,
    "hat": 18.0,
    "gloves": 4.0,
    "belt": 3.0,
    "child": 2.0,
    "sport": 2.0,
    "swim": 2.0,
    "linen": 6.0,
    "jewellery": 4.0,
}
OTHER_WIDTH = 4.0


def rail_width(kind: str, own: Mapping[str, float] = MappingProxyType({})) -> float:
    """Give the width of an item of a kind on the rail (cm).

    Parameters
    ----------
    kind : str
    own : mapping
        Widths that the shop has measured itself (cm), by kind; they go before the usual.

    Returns
    -------
    float
    """
    return own.get(kind, RAIL_WIDTHS.get(kind, OTHER_WIDTH))


@dataclass(frozen=True)
class RailItem:
    """One item that could go out.

    Attributes
    ----------
    number : str
    kind, size : str
        As the bounds name them; a size may be a class of sizes.
    gain : float
        Expected net gain of going out now rather than waiting (minor units).
    width : float
        Along the rail (cm); a tenth of a millimetre is the finest that counts.
    """

    number: str
    kind: str
    size: str
    gain: float
    width: float

    def __post_init__(self) -> None:
        """Refuse what cannot hang anywhere."""
        if not 0 < self.width < np.inf or not np.isfinite(self.gain):
            raise ReadingError(
                f"the width is {self.width:g} cm and the gain {self.gain:g}",
                where=self.number,
                remedy="give a width above 0 and a gain that is a number",
            )


@dataclass(frozen=True)
class Bound:
    """How many items of a kind, a size, or both may or should hang on the rail.

    Attributes
    ----------
    kind, size : str or None
        Which items it speaks of; None means any.
    least, most : float or None
        Items, or shares of all items on the rail (0.3 is three in ten).
    share : bool
    penalty : float or None
        None: kept whatever it costs. Else what each item beyond the bound counts against the
        choice (minor units).
    name : str
        In the shop's words, for sentences; else made of kind and size.
    """

    kind: str | None = None
    size: str | None = None
    least: float | None = None
    most: float | None = None
    share: bool = False
    penalty: float | None = None
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse bounds that nothing can meet."""
        highest = 1.0 if self.share else np.inf
        for limit in (self.least, self.most):
            if limit is not None and not 0 <= limit <= highest:
                raise SettingError(
                    f"the limit for {self.subject} is {limit:g}",
                    remedy="give a share from 0 to 1" if self.share else "give 0 or more items",
                )
        if self.penalty is not None and self.penalty < 0:
            raise SettingError(
                f"the penalty for {self.subject} is below 0", remedy="give 0 or more"
            )
        if self.least is not None and self.most is not None and self.least > self.most:
            raise SettingError(
                f"{self.subject}: at least {self.amount(self.least)} and at most "
                f"{self.amount(self.most)} are asked for",
                remedy="let the least be no more than the most",
            )

    @property
    def subject(self) -> str:
        """What it speaks of, in words."""
        if self.name:
            return self.name
        parts = [self.kind or "", f"size {self.size}" if self.size is not None else ""]
        return ", ".join(part for part in parts if part) or "items"

    def amount(self, limit: float) -> str:
        """Write a limit, in items or in percent."""
        return f"{100 * limit:g} %" if self.share else f"{limit:g}"

    def matches(self, items: Sequence[RailItem]) -> Array:
        """Give 1 for each item that it speaks of, else 0."""
        return np.array(
            [
                float(self.kind in (None, item.kind) and self.size in (None, item.size))
                for item in items
            ]
        )


@dataclass(frozen=True)
class Side:
    """One side of a bound as a row: weights · chosen, at least or at most a limit.

    Attributes
    ----------
    weights : ndarray, shape (items,)
        1 for an item that it speaks of, less the share.
    share : float
        Share of all items that it speaks of; 0 where it counts items.
    limit : float
        What the items already out leave of it.
    waiting : int
        Items in the back room that it speaks of.
    """

    bound: Bound
    which: Literal["least", "most"]
    weights: Array
    share: float
    limit: float
    waiting: int

    @property
    def hard(self) -> bool:
        """Whether it is kept whatever it costs."""
        return self.bound.penalty is None

    @property
    def words(self) -> str:
        """The side in words, such as 'at least 5 shoes'."""
        limit = (self.bound.least if self.which == "least" else self.bound.most) or 0.0
        return f"at {self.which} {self.bound.amount(limit)} {self.bound.subject}"

    def beyond(self, chosen: Array) -> float:
        """Give by how many items a choice misses the limit; 0 where it keeps it."""
        return self.off(float(self.weights @ chosen))

    def off(self, amount: float) -> float:
        """Give by how many items an amount misses the limit; 0 where it keeps it."""
        off = self.limit - amount if self.which == "least" else amount - self.limit
        # Shares are sums of fractions; a millionth of an item is no item.
        return off if off > 1e-6 else 0.0


def sides_of(
    bounds: Sequence[Bound], items: Sequence[RailItem], already: Sequence[RailItem]
) -> list[Side]:
    """Write bounds as rows over the items that could go out.

    Parameters
    ----------
    bounds : sequence of Bound
    items : sequence of RailItem
        What could go out.
    already : sequence of RailItem
        What hangs and stays; it counts for the balance too.

    Returns
    -------
    list of Side
    """
    sides: list[Side] = []
    for bound in bounds:
        limits: tuple[tuple[Literal["least", "most"], float | None], ...] = (
            ("least", bound.least),
            ("most", bound.most),
        )
        for which, limit in limits:
            if limit is None:
                continue
            share = limit if bound.share else 0.0
            matches = bound.matches(items)
            left = (0.0 if bound.share else limit) - float((bound.matches(already) - share).sum())
            if which == "most" and not bound.share:
                # Too many may be out already; then no more may follow.
                left = max(left, 0.0)
            sides.append(Side(bound, which, matches - share, share, left, int(matches.sum())))
    return sides
