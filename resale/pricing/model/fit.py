"""Fit one linear model of log price to sales: gather, weigh, keep the order, score.

Everything here works on coded items and arrays; the table-facing shell is
`resale.pricing.model.estimator`. All that is asked of the sales is a sum over lots of them
(`resale.pricing.sums.lots`), and sales in memory are one lot.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from threadpoolctl import threadpool_limits

from resale.pricing.model.columns.design_matrix import design_of
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.conformal import EXACT_UP_TO, Scores
from resale.pricing.model.fitted import Fitted, Weights, gaps_of, unlooked
from resale.pricing.model.hyperparameters import Posterior, Pull, Sums, settle, weigh_evidence
from resale.pricing.model.monotone import enforce_order
from resale.pricing.model.recipe import Recipe, Sales
from resale.pricing.model.smearing import NORMAL_MAD, SLIP, smearing_by_group
from resale.pricing.sums import left_out
from resale.pricing.sums.gathering import (
    Gathered,
    Lot,
    Trust,
    gather,
    in_one_lot,
    scaled_sums,
)
from resale.pricing.sums.left_out import LeftOut
from resale.pricing.sums.lots import Here, Lots
from resale.pricing.sums.order_statistics import median

# An opinion on the noise, worth so many sales: that of the rule book, or of the mains alone. It
# keeps a rich model from explaining a small table exactly.
NOISE_STRENGTH = 8.0
# However much of the residual spread the unlooked signals could explain, some of it is noise.
LEAST_NOISE_SHARE = 0.3
# Up to this many sales the shrinkage itself is tuned to the sale in question enough to flatter
# its residual, so residuals are taken from fits to the other folds; above, leverage does.
CROSS_FIT_UP_TO = 400
# With sales weighed by `left_out.TAILS`, normal errors leave this part of their variance (by
# integral); the rest is owed to the spread that bands are measured in.
TRUSTED_VARIANCE = 0.7464
FOLDS = 10
# A fit that is only begun at, or judged by, is settled when no precision moves by more.
FOLD_ROUNDS, FOLD_TOLERANCE = 40, 0.02
MAINS = frozenset({"levels", "steps", "lines", "groups"})


def fit(recipe: Recipe, sales: Sales | Lots) -> Fitted:
    """Fit to sales; with none, the priors alone.

    Parameters
    ----------
    recipe : Recipe
        Columns, and what is believed before any sale.
    sales : Sales or Lots
        Log prices, weights and the items as codes; or many of them, as lots of `Lot`.

    Returns
    -------
    Fitted
    """
    lots = in_one_lot(recipe.encoder, sales) if isinstance(sales, Sales) else sales
    # Factors of a thousand columns are too small to share between threads: on a busy desk
    # computer the threads mostly wait for one another.
    with threadpool_limits(limits=1, user_api="blas"):
        return _fit(recipe, lots)


def _fit(recipe: Recipe, lots: Lots) -> Fitted:
    own = gather(lots)
    if own.sales == 0:
        return _rules_alone(recipe, own)
    robust = recipe.robust and recipe.shrinkage is None and own.sales > CROSS_FIT_UP_TO
    # A fit that only says who to trust need not settle to the last digit.
    first = replace(recipe, tolerance=FOLD_TOLERANCE) if robust else recipe
    weights = weigh(first, own)
    square = weights.noise**2
    # Sales as the last fit counted them: whatever is left out of it must have had that weight.
    counted, trust = own, None
    if robust:
        trust = left_out.trust_in(lots, weights, _level(recipe, own))
        counted = gather(lots, trust)
        weights = weigh(recipe, counted, weights.start)
        square = min(square, weights.noise**2 / TRUSTED_VARIANCE)
    gaps = gaps_of(
        recipe.encoder,
        weights.both,
        lambda place, of: float(lots.total(_bent, place=place, weights=of)) / own.sales,
    )
    if recipe.shrinkage is None and own.sales <= CROSS_FIT_UP_TO:
        left = _cross_fitted(recipe, lots, weights, gaps)
    else:
        left = _left_out(lots, trust, weights, gaps, _level(recipe, counted))
    missing, weight = left.total(left_out.missing_on_average)
    noise = float(np.sqrt(max(square - missing / weight, LEAST_NOISE_SHARE * square)))
    scores = left.total(left_out.tally, noise=noise, exact=own.sales <= EXACT_UP_TO)
    return Fitted(
        recipe.encoder,
        weights,
        noise,
        gaps,
        Scores.counted(scores, len(recipe.encoder.groups)),
        _smearing(recipe, left),
        own.count,
    )


def _rules_alone(recipe: Recipe, nothing: Gathered) -> Fitted:
    weights = weigh(recipe, nothing)
    gaps = gaps_of(recipe.encoder, weights.both)
    nobody = Scores.of(np.empty(0), np.empty(0, dtype=np.intp), 0)
    ones = np.ones(len(recipe.encoder.groups) + 1)
    return Fitted(recipe.encoder, weights, weights.noise, gaps, nobody, ones, 0.0)


def _smearing(recipe: Recipe, left: Lots) -> Array:
    """Return factors from median to mean; 1 where prices are not in logs."""
    groups = len(recipe.encoder.groups) + 1
    if not recipe.in_logs:
        return np.ones(groups)
    limit = SLIP * NORMAL_MAD * median(left.each(left_out.size_of))
    return smearing_by_group(left.total(left_out.smearing, groups=groups, limit=limit))


def _bent(lot: Lot, place: int, weights: Array) -> float:
    """Sum of squares of what a block of columns does to the log prices of a lot."""
    shown = lot.encoder.blocks[place].term.columns(lot.sales.items) @ weights
    return float((shown**2).sum())


def _level(recipe: Recipe, of: Gathered) -> float:
    """How much a free level leans on each unit of weight."""
    return 1 / of.count if recipe.free_level else 0.0


def _left_out(lots: Lots, trust: Trust | None, weights: Weights, gaps: Array, level: float) -> Lots:
    how = {"weights": weights, "gaps": gaps, "level": level}
    if trust is None:
        return lots.each(left_out.of_lot, **how)
    return lots.each(left_out.of_lot, trust.of, mean=trust.mean, **how)


def weigh(recipe: Recipe, of: Gathered, start: Posterior | None = None) -> Weights:
    """Weights from what was gathered of sales: evidence, then order.

    Parameters
    ----------
    recipe : Recipe
    of : Gathered
    start : Posterior, optional
        Where an earlier fit came to; saves rounds and changes no answer beyond rounding.

    Returns
    -------
    Weights
        Log price for each unit of a column: prior, learned, and their covariance.
    """
    encoder = recipe.encoder
    if of.sales == 0:
        return _opinions_alone(recipe)
    sums, means, level = scaled_sums(recipe, of)
    posterior = _posterior(recipe, sums, start)
    learned = posterior.weights * encoder.doubt
    covariance = posterior.covariance * encoder.doubt
    covariance *= encoder.doubt[:, None]
    if len(recipe.climb):
        ordered = enforce_order(encoder.prior + learned, covariance, recipe.climb)
        learned, covariance = ordered.weights - encoder.prior, ordered.covariance
    if recipe.free_level:
        level += float(means @ encoder.prior)
    return Weights(
        level, encoder.prior, learned, covariance, means, posterior.noise, posterior.scales
    )


def _opinions_alone(recipe: Recipe) -> Weights:
    """What is believed before any sale: the opinions, with their own doubts."""
    encoder = recipe.encoder
    scales = np.array([encoder.pulls[name].towards for name in encoder.families])
    nothing = np.zeros(len(encoder.prior))
    covariance = np.diag((encoder.doubt * scales[encoder.family]) ** 2)
    return Weights(0.0, encoder.prior, nothing, covariance, nothing, recipe.noise or 1.0, scales)


def _posterior(recipe: Recipe, sums: Sums, start: Posterior | None) -> Posterior:
    """Set shrinkage by the evidence: mains first, whose noise then steadies the whole."""
    encoder = recipe.encoder
    if recipe.shrinkage is not None:
        return _ridge(sums, recipe.shrinkage, len(encoder.families))
    pulls = [encoder.pulls[name] for name in encoder.families]
    noise = recipe.noise
    if noise is None:
        main = np.array([name in MAINS for name in encoder.families])
        chosen = np.flatnonzero(main[encoder.family])
        names, family = np.unique(encoder.family[chosen], return_inverse=True)
        first = weigh_evidence(
            sums.columns(chosen),
            family,
            [pulls[name] for name in names],
            most_rounds=recipe.most_rounds,
            tolerance=recipe.tolerance,
        )
        if main.all():
            return first
        noise = first.noise
    return weigh_evidence(
        sums,
        encoder.family,
        pulls,
        noise_pull=Pull(noise, NOISE_STRENGTH),
        start=start,
        most_rounds=recipe.most_rounds,
        tolerance=recipe.tolerance,
    )


def _ridge(sums: Sums, shrinkage: float, families: int) -> Posterior:
    """Fixed penalty; the noise from the residuals and the degrees of freedom left."""
    width = len(sums.moment)
    precisions = np.full(width, shrinkage)
    unit = settle(sums, 1.0, precisions, scales=np.full(families, shrinkage**-0.5))
    used = width - shrinkage * np.trace(unit.covariance)
    variance = sums.misfit(unit.weights) / max(sums.count - used, 1.0)
    return Posterior(
        unit.weights,
        unit.covariance * variance,
        variance**0.5,
        precisions / variance,
        unit.scales * variance**0.5,
        1,
    )


def _cross_fitted(recipe: Recipe, lots: Lots, whole: Weights, gaps: Array) -> Lots:
    """Return the same from refits, shrinkage included, to nine tenths of the sales at a time."""
    sales = lots.total(_sales)
    left, doubt = np.empty(len(sales.target)), np.empty(len(sales.target))
    # Begun at the whole fit's scales, a fold needs few rounds to settle on its own.
    rounds = min(FOLD_ROUNDS, recipe.most_rounds)
    recipe = replace(recipe, most_rounds=rounds, tolerance=FOLD_TOLERANCE)
    # Neighbouring rows of a file are often alike, so every tenth row makes a fold.
    fold = np.arange(len(sales.target)) % min(FOLDS, len(sales.target))
    for out in np.unique(fold):
        chosen, remaining = np.flatnonzero(fold == out), np.flatnonzero(fold != out)
        if len(remaining) == 0:
            level = 1 / sales.weight.sum() if recipe.free_level else 0.0
            return _left_out(lots, None, whole, gaps, level)
        others = gather(in_one_lot(recipe.encoder, sales.rows(remaining)))
        weights = weigh(recipe, others, whole.start)
        design = design_of(recipe.encoder, sales.items.rows(chosen))
        fitted, doubt[chosen] = left_out.predicted(design, weights)
        left[chosen] = sales.target[chosen] - fitted
    missing = unlooked(gaps, sales.items)
    return Here([LeftOut(left, doubt, missing, sales.weight, sales.items.group)])


def _sales(lot: Lot) -> Sales:
    return lot.sales
