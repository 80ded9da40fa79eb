"""What not to trust yet, in plain sentences, from the evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.coverage import Coverage, observed_coverage
from resale.pricing.evaluation.cross_validation import ValidationSales
from resale.pricing.evaluation.errors import Drift, Off, drift_of, percent_off
from resale.pricing.evaluation.report import EvidenceReport
from resale.pricing.evaluation.rule_shifts import Looked, RuleShift
from resale.pricing.model.conformal import ENOUGH_SALES

# Opinions, no source: from here on a sentence is worth a reader's time.
FEW_VALIDATED = 120
FEW_SALES, STRONG = 5, 0.15
RECENT_DAYS, NOTABLE_DRIFT = 91, 0.03
SELDOM, TELLING = 0.10, 0.05
LISTED = 3
# Chance of one false alarm about any band, shared over the kinds.
FALSE_ALARM = 0.05


def not_yet_trusted(
    book: RuleBook, report: EvidenceReport, coverage: float = 0.8
) -> tuple[str, ...]:
    """Return sentences, what touches most prices in front; none where all is well.

    Parameters
    ----------
    coverage : float, default 0.8
        The promise of the shop's bands, one of `COVERAGES`.
    """
    return (
        *_few_validated(report.validation),
        *_no_better(report.off),
        *_bands_off(book, report.validation, coverage),
        *_drifted(report.validation),
        *_few_of_a_kind(book, report.sold),
        *_strong_on_few(book, report.rules),
        *_seldom_looked_at(book, report.looked),
    )


def _few_validated(validation: ValidationSales) -> Iterable[str]:
    if len(validation) < FEW_VALIDATED:
        yield f"Only {_sales(len(validation))} could be held out, so every figure here is rough."


def _no_better(off: Sequence[Off]) -> Iterable[str]:
    overall = off[0]
    if overall.median >= overall.rules_median:
        yield (
            f"Learning has not paid yet: estimates are off by {overall.median:.0f} % (median), "
            f"those of the rules alone by {overall.rules_median:.0f} %."
        )


def _bands_off(book: RuleBook, validation: ValidationSales, coverage: float) -> Iterable[str]:
    for one in observed_coverage(book, validation, sure=1 - FALSE_ALARM / (len(book.kinds) + 1)):
        enough = one.kind == "" or one.sales >= ENOUGH_SALES
        if one.promised == coverage and one.off and enough:
            yield _band_sentence(one, _plural(book, one.kind) if one.kind else "All kinds together")


def _band_sentence(one: Coverage, who: str) -> str:
    way = "too narrow" if one.inside < one.promised else "wider than need be"
    return (
        f"{who}: price bands are {way}; they promise {_percent(one.promised)} of "
        f"sales and held {_percent(one.inside)} of {one.sales}."
    )


def _drifted(validation: ValidationSales) -> Iterable[str]:
    recent = validation.sold_on > validation.sold_on.max() - np.timedelta64(RECENT_DAYS, "D")
    drift = drift_of(validation.error[recent], validation.sold_on[recent])
    if drift.sure and abs(drift.median) >= NOTABLE_DRIFT:
        yield _drift_sentence(drift)


def _drift_sentence(drift: Drift) -> str:
    way = "more" if drift.median > 0 else "less"
    size = abs(percent_off(drift.median))
    return (
        f"Prices are moving: the {_sales(drift.sales)} since {drift.first} brought {size:.0f} % "
        f"{way} than estimated (median); fit again, or let old sales count less."
    )


def _few_of_a_kind(book: RuleBook, sold: dict[str, int]) -> Iterable[str]:
    for kind, count in sold.items():
        if count == 0:
            yield f"{_plural(book, kind)}: none has sold yet, so prices rest on the rules alone."
        elif count < ENOUGH_SALES:
            yield (
                f"{_plural(book, kind)}: {_sales(count)} so far; under {ENOUGH_SALES}, their "
                "price bands rest on all kinds together."
            )


def _strong_on_few(book: RuleBook, rules: Sequence[RuleShift]) -> Iterable[str]:
    bold = [
        (_weight_in_stock(book, rule), rule)
        for rule in rules
        if rule.sales < FEW_SALES and abs(np.log(rule.learned)) >= np.log1p(STRONG)
    ]
    # What never reaches the rail can never be learned, and needs no trust either.
    bold = sorted((pair for pair in bold if pair[0] > 0), key=lambda pair: -pair[0])
    if not bold:
        return
    named = "; ".join(
        f"{_plural(book, rule.kind)}, {rule.name} ({_sales(rule.sales)})"
        for _, rule in bold[:LISTED]
    )
    which = "such as" if len(bold) > LISTED else "namely"
    many = f"{len(bold)} rules that move" if len(bold) > 1 else "1 rule that moves"
    yield (
        f"{many} a price by {_percent(STRONG)} or more, resting on fewer than {FEW_SALES} sales "
        f"each: {which} {named}."
    )


def _weight_in_stock(book: RuleBook, rule: RuleShift) -> float:
    """How common an option is times how far it moves a price; 0 where its gate stops a sale."""
    option = book.kinds[rule.kind].by_id[rule.signal].option(rule.option)
    if option.gate and option.gate.route in {"hold", "pass_on"}:
        return 0.0
    return float(option.share * abs(np.log(rule.learned)))


def _seldom_looked_at(book: RuleBook, looked: Sequence[Looked]) -> Iterable[str]:
    missed = [
        one
        for one in looked
        if one.share < SELDOM and one.says >= TELLING and one.sales >= ENOUGH_SALES
    ]
    missed.sort(key=lambda one: -one.says)
    for one in missed[:LISTED]:
        yield (
            f"{_plural(book, one.kind)}: {one.name} was looked at in {_percent(one.share)} of "
            f"{_sales(one.sales)}, though it would tell prices apart by about "
            f"{percent_off(one.says):.0f} %."
        )


def _plural(book: RuleBook, kind: str) -> str:
    words = book.kinds[kind].text.plural
    return words[:1].upper() + words[1:]


def _sales(count: int) -> str:
    return f"{count} sale" if count == 1 else f"{count} sales"


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
