"""Which pairs of inputs deserve columns: all while that is cheap, else those that sales ask for.

Pairs grow with the square of the inputs. Where they fit, the evidence shrinks what is not there;
where they do not, each is asked what it says of the residuals that all single inputs leave, and the
telling ones enter. Of a thousand sales on the same is asked of pairs of curves, beside all others.

Notes
-----
Hierarchy as in Bien, Taylor and Tibshirani 2013, Ann. Stat. 41(3), A lasso for hierarchical
interactions; tensor products of curves as in Wood 2006, Biometrics 62(4) (both cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from resale.pricing.model.columns.encoding import BLOCK, Column, Encoder
from resale.pricing.model.columns.number_terms import Bends, Line
from resale.pricing.model.columns.table_columns import TablePlan
from resale.pricing.model.columns.terms import Array, Pair, Term
from resale.pricing.model.fit import weigh
from resale.pricing.model.hyperparameters import NO_PULL
from resale.pricing.model.recipe import Sales, recipe_for
from resale.pricing.sums.gathering import gather, in_one_lot

# Opinions, tried on open tables: from so many sales on a curve can bend a curve; columns that pairs
# may fill where not all are taken; how far beyond chance (standard deviations) a pair must tell.
CURVED_FROM = 1_000
FEWEST_COLUMNS, MOST_COLUMNS = 300, 1_500
TELLING = 3.0
# So many sales, evenly spaced, are asked about pairs; more would only say the same more slowly.
ASKED = 10_000


def with_pairs(plan: TablePlan, sales: Sales) -> Encoder:
    """Add pairs of inputs to the columns of a table.

    Parameters
    ----------
    plan : TablePlan
    sales : Sales
        As coded by the plan's encoder.

    Returns
    -------
    Encoder
    """
    alone, count = plan.encoder, float(sales.weight.sum())
    straight = straight_pairs(plan.mains)
    bent = bent_pairs(plan.mains, plan.curves)
    width = len(alone.doubt) + _width(straight)
    if width > max(count, FEWEST_COLUMNS):
        room = min(max(count / 2, FEWEST_COLUMNS), MOST_COLUMNS)
        asked = Residuals.of(alone, plan.mains, sales)
        return _with(alone, asked.most_telling([*straight, *bent], room))
    # Half-curved pairs are taken all or, of many sales, by what they tell.
    all_bent = width + _width(bent) <= count
    taken = [*straight, *bent] if all_bent else straight
    asked_for = [*curved_pairs(plan.curves), *([] if all_bent else bent)]
    room = min(count / 2, MOST_COLUMNS) - len(alone.doubt) - _width(taken)
    if count < CURVED_FROM or not any(pair.width <= room for pair in asked_for):
        return _with(alone, taken)
    asked = Residuals.of(_with(alone, taken), plan.mains, sales)
    return _with(alone, [*taken, *asked.most_telling(asked_for, room)])


def straight_pairs(mains: Sequence[Term]) -> list[Pair]:
    """Every pair of mains."""
    return [
        Pair(first, second, f"pairs of {_sort(first)} and {_sort(second)}")
        for first, second in combinations(mains, 2)
    ]


def bent_pairs(mains: Sequence[Term], curves: Sequence[Bends]) -> list[Pair]:
    """Every pair of a main with the curve of another input.

    Parameters
    ----------
    mains : sequence of Term
    curves : sequence of Bends

    Returns
    -------
    list of Pair
    """
    return [
        Pair(main, curve, f"pairs of {_sort(main)} and bends")
        for main in mains
        for curve in curves
        if curve.owner != main.owner
    ]


def curved_pairs(curves: Sequence[Bends]) -> list[Pair]:
    """Every pair of curves."""
    return [Pair(one, other, "pairs of bends") for one, other in combinations(curves, 2)]


def _sort(term: Term) -> str:
    return "numbers" if isinstance(term, Line) else "words"


def _width(pairs: Sequence[Pair]) -> int:
    return sum(pair.width for pair in pairs)


def _with(alone: Encoder, pairs: Sequence[Pair]) -> Encoder:
    blocks = (*alone.blocks, *(Column(p, np.zeros(p.width), np.ones(p.width)) for p in pairs))
    pulls = {block.term.family: NO_PULL for block in blocks}
    return replace(alone, blocks=blocks, pulls=pulls)


@dataclass(frozen=True)
class Residuals:
    """What a fit leaves of the sales, to ask pairs about.

    Attributes
    ----------
    sales : Sales
    left : ndarray, shape (n,)
        Residuals times the root of each weight, over their own spread.
    seen : ndarray, shape (n, p)
        An orthonormal basis of the mains.
    """

    sales: Sales
    left: Array
    seen: Array

    @classmethod
    def of(cls, encoder: Encoder, mains: Sequence[Term], sales: Sales) -> Residuals:
        """Fit, and keep what is left.

        Parameters
        ----------
        encoder : Encoder
            Of the fit.
        mains : sequence of Term
            What no pair may say over again.
        sales : Sales

        Returns
        -------
        Residuals
        """
        spaced = np.unique(np.linspace(0, len(sales.target) - 1, ASKED).astype(np.intp))
        sales = sales.rows(spaced)
        weights = weigh(recipe_for(encoder, None), gather(in_one_lot(encoder, sales)))
        root = np.sqrt(sales.weight)
        fitted = [weights.log_price(columns) for _, columns in encoder.pieces(sales.items)]
        left = (sales.target - np.concatenate(fitted)) * root
        columns = np.hstack([main.columns(sales.items) for main in mains]) * root[:, None]
        basis, size, _ = np.linalg.svd(np.hstack([root[:, None], columns]), full_matrices=False)
        seen = basis[:, size > 1e-9 * size[0]]
        return cls(sales, left / left.std(), seen)

    def most_telling(self, pairs: Sequence[Pair], room: float) -> list[Pair]:
        """Choose the pairs that tell most beyond chance, as many as there is room for.

        Parameters
        ----------
        pairs : sequence of Pair
        room : float
            Columns.

        Returns
        -------
        list of Pair
            In the order given.
        """
        telling = np.array([self.telling(pair) for pair in pairs])
        chosen: set[int] = set()
        for place in np.argsort(-telling, kind="stable").tolist():
            if telling[place] < TELLING:
                break
            if pairs[place].width <= room:
                chosen.add(place)
                room -= pairs[place].width
        return [pair for place, pair in enumerate(pairs) if place in chosen]

    def telling(self, pair: Pair) -> float:
        """How far beyond chance a pair explains the residuals, in standard deviations.

        The explained sum of squares is chi-squared with as many degrees of freedom as columns
        where there is nothing: mean k, variance 2k.

        Parameters
        ----------
        pair : Pair

        Returns
        -------
        float
        """
        root, items = np.sqrt(self.sales.weight), self.sales.items
        columns = np.vstack(
            [
                pair.columns(items.rows(slice(at, at + BLOCK))) * root[at : at + BLOCK, None]
                for at in range(0, len(items), BLOCK)
            ]
        )
        before = (columns**2).sum()
        columns = columns - self.seen @ (self.seen.T @ columns)
        values, vectors = np.linalg.eigh(columns.T @ columns)
        # Along what the fit has seen already nothing is left but rounding.
        kept = values > 1e-8 * before
        if not kept.any():
            return 0.0
        along = vectors[:, kept].T @ (columns.T @ self.left)
        explained = float((along**2 / values[kept]).sum())
        freedom = int(kept.sum())
        return (explained - freedom) / (2 * freedom) ** 0.5
