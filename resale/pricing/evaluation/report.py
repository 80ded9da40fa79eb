"""How good the prices are, in one report: figures for plots and tables, and what not to trust.

Only what is measured on sales that the judged model had not seen counts as evidence of error; what
the sales changed in the rules is read off the present model.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.coverage import Coverage, observed_coverage
from resale.pricing.evaluation.cross_validation import ValidationSales
from resale.pricing.evaluation.errors import (
    Bin,
    Drift,
    Off,
    drift_by_month,
    how_far_off,
    predicted_against_actual,
)
from resale.pricing.evaluation.order_strain import OrderStrain
from resale.pricing.evaluation.rule_shifts import (
    Looked,
    RuleShift,
    WordShift,
    how_often_looked,
    label_shifts,
    rule_shifts,
    season_shifts,
)
from resale.pricing.valuation.price_tables import PriceModel


@dataclass(frozen=True)
class EvidenceReport:
    """Everything that the Evidence screen shows.

    Attributes
    ----------
    sales : int
        Past sales that the present model was fitted to.
    sold : mapping of kind id to int
        The same by kind, kinds without sales too.
    validation : ValidationSales
        Each judged sale, for a scatter of predicted against actual.
    off : tuple of Off
        How far estimates were off: all kinds together first, rules alone beside.
    coverage : tuple of Coverage
        Sales inside each band, by promise, then kind; the calibration table.
    bins : tuple of Bin
        Predicted against actual.
    drift : tuple of Drift
        By month.
    rules : tuple of RuleShift
    labels, seasons : tuple of WordShift
        Those that moved most in front.
    looked : tuple of Looked
        Least looked at in front.
    against : tuple of OrderStrain
        Ladders against whose order the sales stand, the surest in front.
    """

    sales: int
    sold: dict[str, int]
    validation: ValidationSales
    off: tuple[Off, ...]
    coverage: tuple[Coverage, ...]
    bins: tuple[Bin, ...]
    drift: tuple[Drift, ...]
    rules: tuple[RuleShift, ...]
    labels: tuple[WordShift, ...]
    seasons: tuple[WordShift, ...]
    looked: tuple[Looked, ...]
    against: tuple[OrderStrain, ...] = ()

    def moved_most(self, count: int) -> tuple[RuleShift, ...]:
        """Return rules that the sales moved farthest for how unsure the book was of them."""
        return tuple(
            sorted(self.rules, key=lambda rule: -abs(rule.moved) / rule.doubt_before)[:count]
        )


def evidence_report(
    book: RuleBook,
    model: PriceModel,
    readings: Readings,
    validation: ValidationSales,
    against: tuple[OrderStrain, ...] = (),
) -> EvidenceReport:
    """Gather the report.

    Parameters
    ----------
    model : PriceModel
        The present model.
    readings : Readings
        The past sales that it was fitted to.
    validation : ValidationSales
        The same sales as judged by `cross_validation.validation_errors`.
    against : tuple of OrderStrain
        What `order_strain.order_strains` says of them.
    """
    counts = np.bincount(readings.kinds, minlength=len(book.kinds)).tolist()
    return EvidenceReport(
        len(readings),
        dict(zip(book.kinds, counts, strict=True)),
        validation,
        how_far_off(book, validation),
        observed_coverage(book, validation),
        predicted_against_actual(validation),
        drift_by_month(validation),
        rule_shifts(book, model, readings),
        label_shifts(model, readings),
        season_shifts(model, readings),
        how_often_looked(book, model, readings),
        against,
    )
