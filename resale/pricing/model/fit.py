"""Fit one linear model of log price to sales: gather, weigh, keep the order, score.

Everything here works on coded items and arrays; the table-facing shell is
`resale.pricing.model.estimator`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from threadpoolctl import threadpool_limits

from resale.pricing.model.columns.design_matrix import Design, design_of
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.conformal import Scores
from resale.pricing.model.fitted import Fitted, Weights, gaps_of, unlooked
from resale.pricing.model.hyperparameters import Posterior, Pull, Sums, settle, weigh_evidence
from resale.pricing.model.monotone import enforce_order
from resale.pricing.model.recipe import Recipe, Sales
from resale.pricing.model.smearing import NORMAL_MAD, smearing_by_group

# An opinion on the noise, worth so many sales: that of the rule book, or of the mains alone. It
# keeps a rich model from explaining a small table exactly.
NOISE_STRENGTH = 8.0
# However much of the residual spread the unlooked signals could explain, some of it is noise.
LEAST_NOISE_SHARE = 0.3
# Up to this many sales the shrinkage itself is tuned to the sale in question enough to flatter
# its residual, so residuals are taken from fits to the other folds; above, leverage does.
CROSS_FIT_UP_TO = 400
# Above as many sales, one that lies far off its own left-out prediction counts less: a slip of
# the pen in a price must not move a rule. Weights of Student's t; Lange, Little and Taylor 1989,
# JASA 84(408), eq. 6 with four degrees of freedom (from memory).
TAILS = 4.0
# So weighted, normal errors leave this part of their variance (by integral); the rest is owed to
# the spread that bands are measured in.
TRUSTED_VARIANCE = 0.7464
FOLDS = 10
# A fit that is only begun at, or judged by, is settled when no precision moves by more.
FOLD_ROUNDS, FOLD_TOLERANCE = 40, 0.02
MAINS = frozenset({"levels", "steps", "lines", "groups"})


def fit(recipe: Recipe, sales: Sales) -> Fitted:
    """Fit to sales; with none, the priors alone.

    Parameters
    ----------
    recipe : Recipe
        Columns, and what is believed before any sale.
    sales : Sales
        Log prices, weights and the items as codes.

    Returns
    -------
    Fitted
    """
    # Factors of a thousand columns are too small to share between threads: on a busy desk
    # computer the threads mostly wait for one another.
    with threadpool_limits(limits=1, user_api="blas"):
        return _fit(recipe, sales)


def _fit(recipe: Recipe, sales: Sales) -> Fitted:
    # The same items from here on, however much each counts: their columns are laid out once.
    design = design_of(recipe.encoder, sales.items)
    robust = recipe.robust and recipe.shrinkage is None and len(sales.target) > CROSS_FIT_UP_TO
    # A fit that only says who to trust need not settle to the last digit.
    first = replace(recipe, tolerance=FOLD_TOLERANCE) if robust else recipe
    weights = weigh(first, sales, design)
    square = weights.noise**2
    # Sales as the last fit counted them: whatever is left out of it must have had that weight.
    counted = sales
    if robust:
        left, _ = _left_out(recipe, sales, design, weights)
        counted = replace(sales, weight=sales.weight * _trust(left))
        weights = weigh(recipe, counted, design, weights.start)
        square = min(square, weights.noise**2 / TRUSTED_VARIANCE)
    gaps = gaps_of(recipe.encoder, weights.both, sales.items)
    if len(sales.target) == 0:
        nobody = Scores.of(np.empty(0), np.empty(0, dtype=np.intp), 0)
        ones = np.ones(len(recipe.encoder.groups) + 1)
        return Fitted(recipe.encoder, weights, weights.noise, gaps, nobody, ones, 0.0)
    if recipe.shrinkage is None and len(sales.target) <= CROSS_FIT_UP_TO:
        left, doubt = _cross_fitted(recipe, sales, design, weights)
    else:
        left, doubt = _left_out(recipe, counted, design, weights)
    missing = unlooked(gaps, sales.items)
    average = float(np.average(missing, weights=sales.weight))
    noise = np.sqrt(max(square - average, LEAST_NOISE_SHARE * square))
    signed = left / np.sqrt(noise**2 + doubt + missing)
    return Fitted(
        recipe.encoder,
        weights,
        float(noise),
        gaps,
        Scores.of(signed, sales.items.group, len(recipe.encoder.groups)),
        _smearing(recipe, sales, left),
        float(sales.weight.sum()),
    )


def _smearing(recipe: Recipe, sales: Sales, left: Array) -> Array:
    """Return factors from median to mean; 1 where prices are not in logs."""
    groups = len(recipe.encoder.groups) + 1
    if not recipe.in_logs:
        return np.ones(groups)
    return smearing_by_group(left, sales.items.group, groups, sales.weight)


def weigh(recipe: Recipe, sales: Sales, design: Design, start: Posterior | None = None) -> Weights:
    """Weights from these sales, laid out as columns: evidence, then order.

    Parameters
    ----------
    recipe : Recipe
    sales : Sales
    design : Design
        The items of the sales, laid out.
    start : Posterior, optional
        Where an earlier fit came to; saves rounds and changes no answer beyond rounding.

    Returns
    -------
    Weights
        Log price for each unit of a column: prior, learned, and their covariance.
    """
    encoder = recipe.encoder
    if len(sales.target) == 0:
        return _opinions_alone(recipe)
    sums, means, level = _gather(recipe, sales, design)
    posterior = _posterior(recipe, sums, start)
    learned = posterior.weights * encoder.doubt
    covariance = posterior.covariance * np.outer(encoder.doubt, encoder.doubt)
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


def _gather(recipe: Recipe, sales: Sales, design: Design) -> tuple[Sums, Array, float]:
    """Weighted cross products of the doubt-scaled columns with what the opinions leave."""
    encoder, weight = recipe.encoder, sales.weight
    left = sales.target - design.times(encoder.prior)
    cross = design.cross(weight, left)
    gram = cross.gram * np.outer(encoder.doubt, encoder.doubt)
    moment, first = cross.moment * encoder.doubt, cross.first * encoder.doubt
    count, square = float(weight.sum()), float(weight @ left**2)
    if not recipe.free_level:
        return Sums(gram, moment, max(square, 1e-12), count), np.zeros(len(moment)), 0.0
    level = float(weight @ left) / count
    centred = Sums(
        gram - np.outer(first, first) / count,
        moment - first * level,
        max(square - count * level**2, 1e-12),
        count,
    )
    return centred, cross.first / count, level


def _left_out(
    recipe: Recipe, sales: Sales, design: Design, weights: Weights
) -> tuple[Array, Array]:
    """Residual of each sale predicted without it, and the doubt of that prediction.

    The residual is ``e / (1 - h)`` with the leverage h, exact for fixed shrinkage and an
    unchanged set of binding constraints. The weights of the sales must be those of the fit.
    """
    fitted, variance = _predicted(design, weights)
    level = 1 / sales.weight.sum() if recipe.free_level else 0.0
    leverage = np.minimum(sales.weight * (variance / weights.noise**2 + level), 0.999)
    return (sales.target - fitted) / (1 - leverage), variance / (1 - leverage)


def _trust(left: Array) -> Array:
    """How much each sale counts, by its left-out residual; 1 on average, shape (n,)."""
    spread = NORMAL_MAD * np.median(np.abs(left))
    trust = (TAILS + 1) / (TAILS + (left / max(spread, 1e-12)) ** 2)
    return np.asarray(trust / trust.mean())


def _predicted(design: Design, weights: Weights) -> tuple[Array, Array]:
    """Log price of items, and its variance from the doubt in the weights."""
    fitted = weights.level + design.times(weights.both) - weights.means @ weights.both
    return fitted, design.quadratic(weights.covariance, weights.means)


def _cross_fitted(
    recipe: Recipe, sales: Sales, design: Design, whole: Weights
) -> tuple[Array, Array]:
    """Return the same from refits, shrinkage included, to nine tenths of the sales at a time."""
    left, doubt = np.empty(len(sales.target)), np.empty(len(sales.target))
    # Begun at the whole fit's scales, a fold needs few rounds to settle on its own.
    rounds = min(FOLD_ROUNDS, recipe.most_rounds)
    recipe = replace(recipe, most_rounds=rounds, tolerance=FOLD_TOLERANCE)
    # Neighbouring rows of a file are often alike, so every tenth row makes a fold.
    fold = np.arange(len(sales.target)) % min(FOLDS, len(sales.target))
    for out in np.unique(fold):
        left_out, remaining = np.flatnonzero(fold == out), np.flatnonzero(fold != out)
        if len(remaining) == 0:
            return _left_out(recipe, sales, design, whole)
        some = sales.rows(remaining)
        weights = weigh(recipe, some, design_of(recipe.encoder, some.items), whole.start)
        others = design_of(recipe.encoder, sales.items.rows(left_out))
        fitted, doubt[left_out] = _predicted(others, weights)
        left[left_out] = sales.target[left_out] - fitted
    return left, doubt
