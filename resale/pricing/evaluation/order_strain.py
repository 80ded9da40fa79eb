"""Where a shop's sales stand against the order of a ladder: a worse answer that brings more.

The order is kept until somebody frees it, so prices never show it: this asks the sales without it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import scipy

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.garments.rulebook.signals import Signal
from resale.pricing.make.tells import Loadings
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.fit import fit
from resale.pricing.model.fitted import Weights
from resale.pricing.model.learn import plan_fit
from resale.pricing.model.monotone_rows import Ladder, climbing_rows
from resale.pricing.model.recency import Days
from resale.pricing.model.recipe import ladders_for, recipe_for
from resale.pricing.model.rule_book_priors import ANYWHERE, WHERE_SEEN, anywhere, inputs_of

# Chance of one false alarm about any step of any ladder of the book, shared over all of them.
FALSE_ALARM = 0.05


@dataclass(frozen=True)
class OrderStrain:
    """Two answers that sold the other way round.

    Attributes
    ----------
    kind, signal : str
        Ids.
    name, worse, better : str
        Names of the sign and of its two answers, as the book orders them.
    gap : float
        Log of what *worse* brought over *better*; above 0.
    doubt : float
        Standard deviation of it.
    sales : int
        Past sales of the kind with either answer.
    """

    kind: str
    signal: str
    name: str
    worse: str
    better: str
    gap: float
    doubt: float
    sales: int


def order_strains(
    book: RuleBook,
    readings: Readings,
    price: Array,
    weight: Array | None = None,
    *,
    sold_on: Days | None = None,
    loadings: Loadings | None = None,
    old_wear_counts: float = 1.0,
) -> tuple[OrderStrain, ...]:
    """Say which ladders the sales stand against, beyond what luck explains.

    Fits once without any order and asks each step by itself (Bonferroni, one-sided); of each
    ladder, the step that is farthest off.

    Parameters
    ----------
    book : RuleBook
    readings, price, weight, sold_on, loadings, old_wear_counts
        As for `resale.pricing.model.learn.learn`.

    Returns
    -------
    tuple of OrderStrain
        The surest in front; none of ladders that are free already.
    """
    if not len(readings):
        return ()
    plan = plan_fit(
        book,
        readings,
        price,
        weight,
        sold_on=sold_on,
        loadings=loadings,
        old_wear_counts=old_wear_counts,
    )
    encoder = plan.coder.encoder
    unordered = replace(recipe_for(encoder, plan.priors), climb=climbing_rows(encoder, ()))
    ladders = ladders_for(encoder, plan.priors)
    weights = fit(unordered, plan.sales).weights
    steps = sum(len(one.rows) for one in ladders)
    found: dict[tuple[str, str], tuple[float, OrderStrain]] = {}
    for kind, signal, ladder in _of_book(book, ladders):
        gap, doubt = _climb(weights, ladder)
        step = int((gap / doubt).argmin())
        chance = float(scipy.stats.norm.cdf(gap[step] / doubt[step]))
        if chance * steps <= FALSE_ALARM:
            said = _strain(book, readings, (kind, signal, ladder), step)
            one = replace(said, gap=-float(gap[step]), doubt=float(doubt[step]))
            # A finding has two ladders, anywhere and where seen: the surer of both speaks.
            before = found.get((kind, signal.id))
            if before is None or chance < before[0]:
                found[kind, signal.id] = (chance, one)
    return tuple(one for _, one in sorted(found.values(), key=lambda pair: pair[0]))


def _of_book(book: RuleBook, ladders: list[Ladder]) -> Iterator[tuple[str, Signal, Ladder]]:
    """Kind and signal of each ladder; one that a single kind fills says no group."""
    for ladder in ladders:
        kinds = [ladder.group] if ladder.group else list(book.kinds)
        for kind in kinds:
            for signal in book.kinds[kind].signals:
                if ladder.owner in inputs_of(signal):
                    yield kind, signal, ladder


def _climb(weights: Weights, ladder: Ladder) -> tuple[Array, Array]:
    """How far each step climbs, as it should, and the doubt of that."""
    rows = ladder.rows
    spread = np.sqrt(np.einsum("ij,jk,ik->i", rows, weights.covariance, rows))
    return rows @ weights.both, spread


def _strain(
    book: RuleBook, readings: Readings, of: tuple[str, Signal, Ladder], step: int
) -> OrderStrain:
    """Put a step into words; its gap and doubt are still to be filled in."""
    kind, signal, ladder = of
    codes = readings.codes[:, book.signal_ids.index(signal.id)]
    codes = codes[readings.kinds == list(book.kinds).index(kind)]
    if signal.shape == "finding":
        whole = ladder.owner == anywhere(signal.id)
        where = "anywhere" if whole else "where it shows"
        worse, better = f"extent {step + 1} {where}", f"extent {step} {where}" if step else "none"
        codes = (ANYWHERE if whole else WHERE_SEEN)[codes]
    else:
        worse, better = signal.options[step].name, signal.options[step + 1].name
    either = int(np.isin(codes, [step, step + 1]).sum())
    return OrderStrain(kind, signal.id, signal.name, worse, better, 0.0, 0.0, either)
