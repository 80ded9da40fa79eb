"""Past sales nearest to an item, with what differs and by how much each price was adjusted.

How far a sale is from the item is counted in log price, as the model sees it:

    distance squared = sum over signals of (difference of effects) squared, all signs of make
                       together being one
                       + what a signal could still say, where it was looked at in one of the two
                       + (0.05 for each half-life of age) squared

Where a signal was looked at in neither, nothing is known to differ and nothing is added.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from resale.config.prices import HALF_LIFE_DAYS
from resale.errors import ReadingError
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.pricing.model.columns.terms import UNKNOWN, Array, Codes
from resale.pricing.model.recency import Days
from resale.pricing.valuation.contributions import Contributions
from resale.pricing.valuation.price_tables import KindTable
from resale.pricing.valuation.shown_contributions import FOR_ITS_AGE
from resale.pricing.valuation.tiers import Index
from resale.pricing.valuation.valuer import Valuer

# An opinion, no source: a sale one half-life old is as far away as one that differs by 5 %.
AGE_APART = 0.05
NOT_SEEN, NOT_KNOWN = "not looked at", "not known"


@dataclass(frozen=True)
class Difference:
    """One thing in which a past sale differs from the item.

    Attributes
    ----------
    signal : Signal or None
        None for label and season.
    theirs, ours : str
        Option of the sale and of the item, as shown.
    log_adjustment : float
        What is added to the log of the sale's price for it.
    """

    signal: Signal | None
    name: str
    theirs: str
    ours: str
    log_adjustment: float

    @property
    def factor(self) -> float:
        """The adjustment as a factor on the price."""
        return float(np.exp(self.log_adjustment))


@dataclass(frozen=True)
class Comparable:
    """A past sale near the item.

    Attributes
    ----------
    sale : int
        Place among the past sales given.
    distance : float
        In log price; 0.1 is about ten percent.
    differences : tuple of Difference
        The largest adjustment in front.
    adjusted : float
        What the sale would have brought, had it been like the item: price times all factors.
    """

    sale: int
    price: float
    sold_on: np.datetime64
    distance: float
    differences: tuple[Difference, ...]
    adjusted: float


@dataclass(frozen=True)
class PastSales:
    """Past sales as a valuer sees them; make it once and ask often.

    Attributes
    ----------
    readings, price, sold_on : Readings, ndarray, ndarray of datetime64, shape (n,)
    """

    valuer: Valuer
    readings: Readings
    price: Array
    sold_on: Days

    @cached_property
    def codes(self) -> Codes:
        """Codes with label and season as last columns, shape (n, signals + 2)."""
        return self.valuer.with_extras(self.readings)

    @cached_property
    def by_kind(self) -> dict[int, tuple[Index, Codes, Contributions]]:
        """Rows of each kind, their codes in the columns of the kind, and what each sign adds."""
        found = {}
        for place, kind in enumerate(self.valuer.book.kinds):
            rows = np.flatnonzero(self.readings.kinds == place)
            block = self.codes[np.ix_(rows, self.valuer.columns[kind])]
            found[place] = (rows, block, self.valuer.contributions(kind, block))
        return found

    def nearest(
        self,
        item: Readings,
        today: np.datetime64,
        count: int = 5,
        half_life: float = HALF_LIFE_DAYS,
    ) -> tuple[Comparable, ...]:
        """Find the past sales of the item's kind that are nearest to it.

        Parameters
        ----------
        item : Readings
            One item; with its season, if the adjustments are to take account of it.
        today : datetime64
            The day from which ages count.
        count : int, default 5
        half_life : float, default 365
            As for the fit, in days; infinity lets age not matter.

        Returns
        -------
        tuple of Comparable
            Nearest first; of two as near, the later sale first. Fewer where fewer were sold.

        Raises
        ------
        ReadingError
            If not exactly one item is given.
        """
        if len(item) != 1:
            raise ReadingError(f"{len(item)} items were given", remedy="ask for one at a time")
        place = int(item.kinds[0])
        kind = tuple(self.valuer.book.kinds.values())[place]
        table = self.valuer.model.tables[kind.id]
        ours = self.valuer.with_extras(item)[0, self.valuer.columns[kind.id]]
        rows, theirs, adds = self.by_kind[place]
        mine = self.valuer.contributions(kind.id, ours[None, :])
        age = np.maximum((today - self.sold_on[rows]).astype("timedelta64[D]").astype(float), 0.0)
        squared = (
            _squared_apart(table, (ours, mine), (theirs, adds)) + (AGE_APART * age / half_life) ** 2
        )
        near = np.lexsort((age, squared))[:count]
        return tuple(
            self._comparable(
                kind,
                item,
                ours,
                int(rows[i]),
                theirs[i],
                squared[i],
                _adds(mine, 0) - _adds(adds, i),
            )
            for i in near.tolist()
        )

    def _comparable(
        self,
        kind: Kind,
        item: Readings,
        ours: Codes,
        sale: int,
        theirs: Codes,
        squared: float,
        adjustments: Array,
    ) -> Comparable:
        words = (
            _words(kind, item, 0, ours),
            _words(kind, self.readings, sale, theirs),
        )
        signals = (*kind.signals, None, None, None)
        names = (*(signal.name for signal in kind.signals), "Label", "Season", FOR_ITS_AGE)
        differences = [
            Difference(signals[i], names[i], words[1][i], words[0][i], float(adjustments[i]))
            for i in range(len(names))
            # One sign of make alike in both may still say less beside more others.
            if words[0][i] != words[1][i] or adjustments[i] != 0
        ]
        differences.sort(key=lambda one: -abs(one.log_adjustment))
        price = float(self.price[sale])
        return Comparable(
            sale,
            price,
            self.sold_on[sale],
            float(np.sqrt(squared)),
            tuple(differences),
            price * float(np.exp(sum(one.log_adjustment for one in differences))),
        )


def _adds(found: Contributions, row: int) -> Array:
    """Log contribution of each signal of one item, and of its age on its wear."""
    return np.append(found.rules[row] + found.sales[row], found.age[row].sum())


def _squared_apart(
    table: KindTable, ours: tuple[Codes, Contributions], theirs: tuple[Codes, Contributions]
) -> Array:
    """Squared distance to each sale, without its age."""
    (our_codes, mine), (their_codes, adds) = ours, theirs
    tell = table.tell_weight[1] > 0
    apart = adds.rules + adds.sales - _adds(mine, 0)[:-1]
    # All tells speak of one thing, the make, so they differ once; how sure it is counts as well.
    total = (apart[:, ~tell] ** 2).sum(axis=1) + apart[:, tell].sum(axis=1) ** 2
    total += (adds.age - mine.age).sum(axis=1) ** 2
    total += table.slope**2 * np.abs(1 / adds.precision - 1 / mine.precision)
    unseen = (their_codes == UNKNOWN) != (our_codes == UNKNOWN)[None, :]
    return np.asarray(total + unseen @ table.gaps)


def _words(kind: Kind, readings: Readings, row: int, codes: Codes) -> list[str]:
    """Options as shown, in the order of the kind's signals, then label, season and age."""
    shown = [
        NOT_SEEN if code == UNKNOWN else signal.options[code].name
        for signal, code in zip(kind.signals, codes.tolist(), strict=False)
    ]
    season = readings.seasons[row] if readings.seasons else ""
    # What age does to wear follows from the signs above: it has no word of its own.
    return [*shown, readings.labels[row] or NOT_KNOWN, season or NOT_KNOWN, ""]
