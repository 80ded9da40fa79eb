"""The evidence for the present prices, worked out once and kept for every page about it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from sqlalchemy.orm import Session

from resale.pricing.evaluation.cross_validation import (
    COVERAGES,
    FEWEST,
    Fold,
    ValidationSales,
    validation_errors,
)
from resale.pricing.evaluation.order_strain import order_strains
from resale.pricing.evaluation.report import EvidenceReport, evidence_report
from resale.pricing.evaluation.warnings import not_yet_trusted
from resale.selling.markdown.survival import Survival, kaplan_meier
from resale.services.ledger.sold_now import judged_lines
from resale.services.prices.sales_brought import Brought, what_sales_brought
from resale.storage.items.latest_readings import items_read
from resale.storage.ledger.item_now import looked_at
from resale.storage.ledger.price_periods import stretches
from resale.storage.ledger.sold_items import SoldItems, sold_count
from resale.storage.models.evidence_cache import evidence_path, store_evidence, stored_evidence
from resale.storage.models.fits import sales_fingerprint
from resale.storage.models.model_runs import current_model_id, fitted_models
from resale.storage.models.taught_worths import taught_worths
from resale.web.core.jobs import Step
from resale.web.core.shop import Shop

# From so many sales on, a hundredth of them more or less changes no figure that is shown.
LARGE, FEW = 2_000, 100


@dataclass(frozen=True)
class Hung:
    """How long things of a kind hung before they sold.

    Attributes
    ----------
    items, sold : int
        Items that were put out, and those of them that sold.
    """

    kind: str
    items: int
    sold: int
    survival: Survival


@dataclass(frozen=True)
class Found:
    """The evidence as the screen shows it.

    Attributes
    ----------
    report : EvidenceReport or None
        None where there are too few sales to hold any out.
    warnings : tuple of str
        What not to trust yet.
    plots : dict of str to bytes
        Drawn when first asked for.
    by_worth : bool
        Whether things are judged by what they were worth, as the fit learns them, and not by what
        they brought.
    basis : str
        Prices, and how fast sales grow old.
    total : int
        Sales in the Ledger when it was found.
    """

    key: str
    sales: int
    report: EvidenceReport | None
    warnings: tuple[str, ...]
    hung: tuple[Hung, ...]
    brought: tuple[Brought, ...] = ()
    plots: dict[str, bytes] = field(default_factory=dict)
    by_worth: bool = False
    basis: str = ""
    total: int = 0

    def still_says(self, shop: Shop, total: int) -> bool:
        """Whether it says the same as the sales of now would: but few came since.

        Parameters
        ----------
        shop : Shop
        total : int
            Sales in the Ledger now.
        """
        few = abs(total - self.total) * FEW <= self.total
        return self.basis == _basis(shop) and self.total >= LARGE and few


def evidence_key(shop: Shop) -> str:
    """The same as long as the sales, the prices and the rule book are.

    Parameters
    ----------
    shop : Shop
        For its model, its sales and how fast they grow old.
    """
    lines = [tuple(one) for one in judged_lines(shop)]
    return hashlib.sha256(f"{_basis(shop)} {lines}".encode()).hexdigest()[:16]


def _basis(shop: Shop) -> str:
    return f"{shop.model_id} {shop.settings.half_life_days} {shop.settings.old_wear_counts}"


def find_evidence(shop: Shop, sold: SoldItems, step: Step) -> Found:
    """Work the evidence out, and say on what it rests.

    Parameters
    ----------
    shop : Shop
    sold : SoldItems
        Every sale with its day.
    step : Step
        Told how far it is.
    """
    total = sold_count(shop.records, shop.book, shop.settings)
    return replace(_found(shop, sold, step), basis=_basis(shop), total=total)


def _found(shop: Shop, sold: SoldItems, step: Step) -> Found:
    key = evidence_key(shop)
    step(0, 1, "Looking at how long things hung")
    hung, brought = how_long_hung(shop), what_sales_brought(shop, sold)
    if len(sold) < FEWEST:
        return Found(key, len(sold), None, _without_enough(len(sold)), hung, brought)
    # What the fit learns is what has to be judged: worths where things hung, else the sales.
    today = shop.here().date()
    taught = taught_worths(
        shop.records, shop.book, shop.settings, sold, today, only=looked_at(shop.records)
    )
    validation = _cross_validated(shop, taught, step)
    step(1, 1, "Asking whether a worse answer sold for more")
    against = order_strains(
        shop.book,
        taught.readings,
        taught.price,
        taught.weights(today, shop.settings.half_life_days),
        sold_on=taught.sold_on,
        old_wear_counts=shop.settings.old_wear_counts,
    )
    report = evidence_report(shop.book, shop.valuer.model, taught.readings, validation, against)
    promise = min(COVERAGES, key=lambda one: abs(one - shop.settings.coverage))
    warnings = (*_not_learned(shop, sold), *not_yet_trusted(shop.book, report, promise))
    by_worth = taught is not sold
    return Found(key, len(sold), report, warnings, hung, brought, by_worth=by_worth)


def _cross_validated(shop: Shop, sold: SoldItems, step: Step) -> ValidationSales:
    days = hashlib.sha256(sold.sold_on.tobytes()).hexdigest()
    settings = shop.settings
    path = evidence_path(
        settings.data_folder,
        sales_fingerprint(sold) + days,
        shop.book.fingerprint,
        settings.half_life_days,
        settings.old_wear_counts,
    )
    validation = stored_evidence(path)
    if validation is not None and len(validation) <= len(sold):
        return validation

    def along(folds: Sequence[Fold]) -> Iterator[Fold]:
        for place, fold in enumerate(folds):
            step(
                place,
                len(folds),
                f"Pricing {shop.money.count(len(fold.judge))} sales by a model without them",
            )
            yield fold

    validation = validation_errors(
        shop.book,
        sold.readings,
        sold.price,
        sold.sold_on,
        half_life=settings.half_life_days,
        terms=shop.terms,
        along=along,
    )
    store_evidence(path, validation)
    return validation


def how_long_hung(shop: Shop) -> tuple[Hung, ...]:
    """Days on the rail by kind, those of things that still hang among them."""
    days: dict[int, float] = {}
    sold: dict[int, bool] = {}
    only = looked_at(shop.records)
    for one in stretches(shop.records, shop.here().date(), only):
        days[one.item] = days.get(one.item, 0.0) + one.days
        sold[one.item] = sold.get(one.item, False) or one.sold
    with Session(shop.records) as session:
        read: Mapping[int, str] = {i: item.kind for i, item in items_read(session, only).items()}
    found = []
    for kind in shop.book.kinds:
        mine = [item for item in days if read.get(item) == kind]
        if mine:
            ended = np.array([sold[item] for item in mine])
            curve = kaplan_meier(np.array([days[item] for item in mine]), ended)
            found.append(Hung(kind, len(mine), int(ended.sum()), curve))
    return tuple(found)


def _without_enough(sales: int) -> tuple[str, ...]:
    if not sales:
        return ("Nothing sold yet: every price rests on the rule book alone.",)
    some = "1 sale is" if sales == 1 else f"{sales} sales are"
    return (f"{some} too few to say how good prices are; from {FEWEST} on there are figures.",)


def _not_learned(shop: Shop, sold: SoldItems) -> Iterator[str]:
    """Say where prices in use did not learn from the sales shown."""
    if shop.fallback:
        yield shop.fallback
    current = current_model_id(shop.records)
    if shop.model_id.startswith("rules-"):
        yield (
            f"Prices follow the rules alone. The figures below say how good they would be once "
            f"they are learned from the {shop.money.count(len(sold))} sales."
        )
    elif current is not None:
        model = next(one for one in fitted_models(shop.records, shop.settings) if one.current)
        count = sold_count(shop.records, shop.book, shop.settings)
        # Of a large shop only some of the sales are here.
        others = (
            model.sales != count if count > len(sold) else model.data != sales_fingerprint(sold)
        )
        if others and not model.of_chain:
            yield (
                f"Prices were learned from {shop.money.count(model.sales)} sales; the Ledger holds "
                f"{shop.money.count(count)} by now. Learn again to take the new ones in."
            )
