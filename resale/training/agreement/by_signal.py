"""Agreement between sorters, signal by signal: who differs, how much, and which way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from resale.garments.rulebook.readings import kind_called, option_code
from resale.garments.rulebook.rule_book import RuleBook
from resale.garments.rulebook.signals import Signal, finding_place
from resale.training.agreement.alpha import DRAWS, krippendorff_alpha
from resale.training.agreement.bias import Bias, step_bias
from resale.training.agreement.kappa import Agreement, Array, cohen_kappa, cross_table, disagreement

Seen = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Answer:
    """What one sorter said of one signal of one item."""

    item: str
    sorter: str
    kind: str
    signal: str
    option: str


@dataclass(frozen=True, slots=True)
class PairAgreement:
    """Two sorters on one signal.

    Attributes
    ----------
    same : float
        Share of items on which both said the same.
    bias : Bias or None
        None where the options have no order.
    table : ndarray, shape (options, options)
        Counts of pairs of answers; rows are the first sorter's.
    """

    first: str
    second: str
    kappa: Agreement
    same: float
    bias: Bias | None
    table: Array


@dataclass(frozen=True, slots=True)
class SignalAgreement:
    """All sorters on one signal.

    Attributes
    ----------
    alpha : Agreement
        Krippendorff's alpha over all of them; rests on items that two or more looked at.
    pairs : tuple of PairAgreement
        With a lead as second where there is one, then the others.
    """

    signal: Signal
    sorters: tuple[str, ...]
    alpha: Agreement
    pairs: tuple[PairAgreement, ...]


def agreement_by_signal(
    book: RuleBook,
    answers: Iterable[Answer],
    *,
    random: np.random.Generator,
    leads: Collection[str] = (),
    draws: int = DRAWS,
) -> tuple[SignalAgreement, ...]:
    """Agreement on every signal that two sorters looked at on the same item.

    Parameters
    ----------
    answers : iterable of Answer
        A later answer of the same sorter to the same item and signal replaces the earlier.
    random : Generator
        For the intervals of alpha.
    leads : collection of str
        Stand second in each pair, so that a bias reads 'against the lead'.

    Returns
    -------
    tuple of SignalAgreement
        Weakest agreement first; where agreement cannot be said, last.
    """
    by_signal: dict[str, dict[str, dict[str, int]]] = defaultdict(lambda: defaultdict(dict))
    signals: dict[str, Signal] = {}
    for one in answers:
        kind = kind_called(book, one.kind)
        code = option_code(kind, one.signal, one.option)
        signals.setdefault(one.signal, kind.by_id[one.signal])
        by_signal[one.signal][one.sorter][one.item] = code
    found = [
        _one_signal(signals[signal_id], by_sorter, random, leads, draws)
        for signal_id, by_sorter in by_signal.items()
    ]
    rated = [one for one in found if one.alpha.items]
    return tuple(sorted(rated, key=lambda one: _weakest_first(one.alpha)))


def distances_of(signal: Signal) -> Array:
    """Squared distance between the options of a signal.

    A choice: 0 or 1. A ladder: steps squared. A finding: steps of extent, and one step more where
    one saw it hidden and the other seen when worn, squared.
    """
    if signal.shape == "choice":
        return disagreement("none", len(signal.options))
    if signal.shape == "ladder":
        return disagreement("quadratic", len(signal.options))
    places = [finding_place(option_id) for option_id in signal.option_ids]
    steps = [
        [abs(m - n) + float(bool(m and n) and place != other) for other, n in places]
        for place, m in places
    ]
    return np.array(steps) ** 2


def _one_signal(
    signal: Signal,
    by_sorter: Mapping[str, Seen],
    random: np.random.Generator,
    leads: Collection[str],
    draws: int,
) -> SignalAgreement:
    sorters = tuple(sorted(by_sorter, key=lambda name: (name in leads, name)))
    items = sorted({item for seen in by_sorter.values() for item in seen})
    ratings = np.array(
        [[by_sorter[sorter].get(item, np.nan) for item in items] for sorter in sorters]
    )
    # Ordinal distances depend on how often each step is used, so they cannot be given beforehand.
    alpha = (
        krippendorff_alpha(ratings, random=random, level="ordinal", draws=draws)
        if signal.shape == "ladder"
        else krippendorff_alpha(ratings, random=random, distances=distances_of(signal), draws=draws)
    )
    pairs = [
        _pair(signal, first, second, by_sorter)
        for first, second in combinations(sorters, 2)
        if by_sorter[first].keys() & by_sorter[second].keys()
    ]
    pairs.sort(key=lambda pair: pair.second not in leads)
    return SignalAgreement(signal, sorters, alpha, tuple(pairs))


def _pair(signal: Signal, first: str, second: str, by_sorter: Mapping[str, Seen]) -> PairAgreement:
    both = sorted(by_sorter[first].keys() & by_sorter[second].keys())
    codes = [[by_sorter[name][item] for item in both] for name in (first, second)]
    table = cross_table(codes[0], codes[1], len(signal.options))
    return PairAgreement(
        first,
        second,
        cohen_kappa(table, weights=distances_of(signal)),
        float(np.trace(table) / table.sum()),
        step_bias(table) if signal.shape == "ladder" else None,
        table,
    )


def _weakest_first(alpha: Agreement) -> tuple[bool, float]:
    return not alpha.can_be_said, alpha.value if alpha.can_be_said else 0.0
