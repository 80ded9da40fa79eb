"""From readings to prices, bands, tiers, routes and money shares: the main job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.errors import ModelFileError
from resale.garments.labels.label_key import label_key
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.make.age import OldWear
from resale.pricing.model.columns.terms import UNKNOWN, Array
from resale.pricing.model.rule_book_priors import LABEL, SEASON, word_codes
from resale.pricing.valuation.by_kind import ByKind
from resale.pricing.valuation.contributions import Contributions, contributions_of
from resale.pricing.valuation.option_table import OptionTable
from resale.pricing.valuation.price_tables import KindTable, PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import (
    ROUTES,
    Bounds,
    Gates,
    Index,
    bounds_of,
    tier_chances,
    tier_of,
    tier_starts,
)
from resale.pricing.valuation.valuations import Valuations

PLACES = ("cap", "best", "floor", "route")
FLAT = ("anchor", "level", "spread", "reach", "smearing", "make", "precision")


@dataclass(frozen=True)
class Valuer:
    """Values items with one rule book, one model and one shop's terms."""

    book: RuleBook
    model: PriceModel
    terms: ShopTerms

    def __post_init__(self) -> None:
        if self.model.book_fingerprint != self.book.fingerprint:
            raise ModelFileError(
                f"the model was fitted with rule book {self.model.book_version}, which reads "
                f"otherwise than the present one ({self.book.version})",
                remedy="fit it again, or go back to that rule book",
            )

    @cached_property
    def starts(self) -> Array:
        """Log standings at which tiers begin."""
        return tier_starts(self.book)

    @cached_property
    def gates(self) -> Mapping[str, Gates]:
        """Gates by kind."""
        kinds, extras = self.book.kinds, sum(len(words) for words in self.model.extras)
        return ByKind(kinds, lambda kind: Gates.of(self.book, kinds[kind], extras))

    @cached_property
    def columns(self) -> Mapping[str, npt.NDArray[np.intp]]:
        """Columns of the readings that each kind's signals stand in; label and season last."""
        names = (*self.book.signal_ids, LABEL, SEASON)
        place = {signal_id: column for column, signal_id in enumerate(names)}
        tables = self.model.tables
        return ByKind(
            tables, lambda kind: np.array([place[s] for s in tables[kind].signals], np.intp)
        )

    @cached_property
    def label_keys(self) -> tuple[str, ...]:
        """Labels that the model knows, by key: whoever wrote one, and in whatever capitals."""
        return tuple(label_key(known) for known in self.model.extras[0])

    def with_extras(self, readings: Readings) -> npt.NDArray[np.int16]:
        """Codes of the readings with those of label and season as last columns."""
        said = [label_key(one) for one in readings.labels]
        extras = [
            word_codes(said, self.label_keys, len(readings)),
            word_codes(readings.seasons, self.model.extras[1], len(readings)),
        ]
        return np.column_stack([readings.codes, *extras])

    @cached_property
    def wear(self) -> Mapping[str, npt.NDArray[np.bool_]]:
        """Which signals of each kind are about wear; label and season are not."""
        extras, kinds = [False] * len(self.model.extras), self.book.kinds
        return ByKind(
            kinds,
            lambda kind: np.array([*(s.about == "wear" for s in kinds[kind].signals), *extras]),
        )

    @cached_property
    def old_wear(self) -> Mapping[str, OldWear]:
        """What wear counts on things of each kind that are wanted for their age."""
        kinds, counts = self.book.kinds, self.terms.old_wear_counts
        return ByKind(kinds, lambda kind: OldWear.of(kinds[kind], counts))

    @cached_property
    def options(self) -> Mapping[str, OptionTable]:
        """What the next check asks of each kind."""
        kinds, tables = self.book.kinds, self.model.tables
        return ByKind(
            kinds,
            lambda kind: OptionTable.of(
                kinds[kind], tables[kind], self.wear[kind], self.old_wear[kind]
            ),
        )

    def contributions(self, kind: str, codes: npt.NDArray[np.int16]) -> Contributions:
        """What each sign of items of one kind adds to their log price.

        Parameters
        ----------
        kind : str
            Id of the kind.
        codes : ndarray of int16, shape (n, signals of the kind + 2)
            Label and season last.

        Returns
        -------
        Contributions
        """
        further = self.book.book.further_wear
        table, age = self.model.tables[kind], self.old_wear[kind]
        return contributions_of(table, codes, self.wear[kind], further, age)

    def value(self, readings: Readings) -> Valuations:
        """Value n items in one call."""
        codes = self.with_extras(readings)
        count, width = codes.shape
        parts = {name: np.zeros((count, width + 1)) for name in ("rules", "sales")}
        flat = {name: np.empty(count) for name in FLAT}
        places = {name: np.zeros(count, np.intp) for name in PLACES}
        chances = np.empty((count, len(self.starts) + 1))
        found: dict[str, Contributions] = {}
        for place, kind in enumerate(self.model.tables):
            rows = np.flatnonzero(readings.kinds == place)
            if len(rows):
                found[kind] = self._value_kind(place, kind, codes, rows, parts, flat, places)
                chances[rows] = tier_chances(
                    (parts["rules"][rows] + parts["sales"][rows]).sum(axis=1),
                    flat["spread"][rows],
                    self.starts,
                    Bounds(places["best"][rows], places["floor"][rows]),
                    self.model.scores,
                    place,
                    self.terms.coverage,
                )
        return self._finished(readings, parts, flat, places, chances, found)

    def _value_kind(
        self,
        place: int,
        kind: str,
        codes: npt.NDArray[np.int16],
        rows: Index,
        parts: dict[str, Array],
        flat: dict[str, Array],
        places: dict[str, Index],
    ) -> Contributions:
        """Fill in what is said of the items of one kind; gives what each sign adds."""
        table, columns = self.model.tables[kind], self.columns[kind]
        local = codes[np.ix_(rows, columns)]
        found = self.contributions(kind, local)
        parts["rules"][np.ix_(rows, columns)] = found.rules
        parts["sales"][np.ix_(rows, columns)] = found.sales
        # Behind label and season stands what age gives back of the wear.
        parts["rules"][rows, -1], parts["sales"][rows, -1] = found.age.T
        picked = table.flat(local)
        flat["anchor"][rows], flat["level"][rows] = table.anchor, table.level + self.model.drift
        flat["smearing"][rows] = table.smearing
        flat["spread"][rows] = spread_of(self.model, table, local, picked, found)
        flat["reach"][rows] = self.model.scores.reach(place, self.terms.coverage)
        flat["make"][rows], flat["precision"][rows] = found.make, found.precision
        gates = self.gates[kind]
        places["cap"][rows] = gates.cap[picked].max(axis=1)
        bounds = bounds_of(self.book, places["cap"][rows], found.wear)
        places["best"][rows], places["floor"][rows] = bounds.cap, bounds.floor
        places["route"][rows] = gates.route[picked].max(axis=1)
        return found

    def _finished(
        self,
        readings: Readings,
        parts: dict[str, Array],
        flat: dict[str, Array],
        places: dict[str, Index],
        chances: Array,
        found: Mapping[str, Contributions],
    ) -> Valuations:
        """Turn logs into money, and money into tickets."""
        decimals = self.terms.decimals
        standing = parts["rules"].sum(axis=1) + parts["sales"].sum(axis=1)
        middle = np.log(flat["anchor"]) + flat["level"] + standing
        half = flat["reach"] * flat["spread"]
        estimate = np.exp(middle)
        # An item that cannot earn its place goes on, unless a stricter gate already holds it.
        cheap = np.where(estimate < self.terms.least_ticket, ROUTES.index("pass_on"), 0)
        bounds = Bounds(places["best"], places["floor"])
        return Valuations(
            kinds=readings.kinds,
            anchor=flat["anchor"],
            level=flat["level"],
            rules=parts["rules"],
            sales=parts["sales"],
            estimate=np.round(estimate, decimals),
            low=np.round(np.exp(middle - half), decimals),
            high=np.round(np.exp(middle + half), decimals),
            mean=np.round(estimate * flat["smearing"], decimals),
            spread=flat["spread"],
            standing=standing,
            tier=tier_of(standing, self.starts, bounds),
            route=np.maximum(places["route"], cheap),
            cap=places["cap"],
            gate_route=places["route"],
            chances=chances,
            ticket=self.terms.ticket(estimate),
            looked=(readings.codes != UNKNOWN).sum(axis=1),
            make=flat["make"],
            precision=flat["precision"],
            decimals=decimals,
            found=found,
        )


def spread_of(
    model: PriceModel,
    table: KindTable,
    codes: npt.NDArray[np.int16],
    picked: Index,
    found: Contributions,
) -> Array:
    """Expected standard deviation of log price of items of one kind.

    Parameters
    ----------
    model : PriceModel
    table : KindTable
        Of the kind.
    codes : ndarray of int16, shape (n, signals)
    picked : ndarray of int, shape (n, signals)
        The same as places in the table.
    found : Contributions
        For the make of the items, and how sure it is.

    Returns
    -------
    ndarray, shape (n,)
    """
    known = codes != UNKNOWN
    options = int(table.starts[-1])
    design = np.zeros((len(codes), options + 2))
    design[:, 0] = 1.0
    np.put_along_axis(design, picked + 1, known.astype(float), axis=1)
    # Several unknown signals share the spare last place; it is that of make, which comes now.
    design[:, -1] = found.make
    doubt = np.einsum("ij,ij->i", design @ table.covariance, design)
    open_signs = np.where(known, 0.0, table.gaps).sum(axis=1)
    return np.sqrt(model.noise**2 + doubt + open_signs + table.slope**2 / found.precision)
