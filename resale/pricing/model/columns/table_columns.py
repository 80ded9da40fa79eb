"""Which columns any table deserves: mains, bends, and departures of a group.

Without a rule book everything is found in the table itself: categories, ordered categories and
numbers. Pairs of them are chosen by what the rest leaves (`resale.pricing.model.learned_pairs`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
import scipy

from resale.pricing.model.columns.encoding import Column, Encoder, found_levels, level_codes
from resale.pricing.model.columns.number_terms import Bends, Line, Scale
from resale.pricing.model.columns.terms import Array, Coded, Departure, Levels, Steps, Term
from resale.pricing.model.hyperparameters import NO_PULL
from resale.pricing.model.priors import Direction

# A number with fewer distinct values than this has no bends to learn.
FEWEST_FOR_BENDS = 4
# Knots of a curve, and of the coarser curve that enters pairs. More sales can bear more knots;
# Ruppert 2002, J. Comput. Graph. Stat. 11(4), finds no gain beyond some dozens (from memory).
FEWEST_KNOTS, MOST_KNOTS, PAIR_KNOTS = 8, 24, 7


@dataclass(frozen=True)
class Shape:
    """What the table offers besides the opinions.

    Attributes
    ----------
    bends : bool
        Whether numbers get a curve as well as a line.
    """

    bends: bool
    order: Mapping[str, Direction]
    effect: Mapping[str, float | Mapping[str, float]]
    doubt: Mapping[str, float | Mapping[str, float]]


@dataclass(frozen=True)
class TablePlan:
    """Columns of a table without pairs, and what pairs may be made of.

    Attributes
    ----------
    encoder : Encoder
    mains : tuple of Term
        Lines, levels and steps of inputs whose order need not hold.
    curves : tuple of Bends
        Coarse curves of such numbers.
    """

    encoder: Encoder
    mains: tuple[Term, ...]
    curves: tuple[Bends, ...]


def plan_from_table(
    frame: pd.DataFrame, shape: Shape, group_column: str | None, weight: Array
) -> TablePlan:
    """Columns for any table of categories, ordered categories and numbers.

    A sale of weight 2 counts as two sales in every mean, share and knot. An input whose order must
    hold stays out of pairs: its effect must not depend on another.

    Parameters
    ----------
    frame : DataFrame, shape (n, inputs)
        A missing cell was not looked at.
    shape : Shape
        How numbers are bent, and which inputs are ordered or paired.
    group_column : str or None
        Name of the column of groups with departures of their own.
    weight : ndarray, shape (n,)
        As how many sales each counts.

    Returns
    -------
    TablePlan

    Raises
    ------
    ValueError
        If the group, or an opinion, is of a column that the table has not.
    """
    named = [*shape.effect, *shape.doubt, *([group_column] if group_column else [])]
    unknown = [name for name in named if name not in frame]
    if unknown:
        raise ValueError(f"{unknown[0]!r} is no column of the table; check its spelling")
    inputs = [name for name in frame.columns if name != group_column]
    numeric = tuple(name for name in inputs if pd.api.types.is_numeric_dtype(frame[name].dtype))
    discrete = tuple(name for name in inputs if name not in numeric)
    levels = tuple(found_levels(frame[name]) for name in discrete)
    groups = found_levels(frame[group_column]) if group_column else ("all",)
    blank = Encoder(group_column, groups, discrete, levels, numeric, (), {})
    items = blank.code(frame)
    mains = [
        _found_discrete(frame[name], levels[place], weight, place, len(groups), shape)
        for place, name in enumerate(discrete)
    ]
    curves: list[Column] = []
    for place, name in enumerate(numeric):
        line, bends = _found_number(items.numbers[:, place], weight, name, place, shape)
        mains.append(line)
        curves += bends
    blocks = mains + curves
    if group_column:
        blocks += _found_departures(frame, weight, blocks, groups, group_column)
    coarse = tuple(
        _bends(c.term.owner, c.term.scale, items.numbers, weight, PAIR_KNOTS)
        for c in curves
        if isinstance(c.term, Bends) and c.term.owner not in shape.order
    )
    free = tuple(block.term for block in mains if block.term.owner not in shape.order)
    pulls = {block.term.family: NO_PULL for block in blocks}
    return TablePlan(replace(blank, blocks=tuple(blocks), pulls=pulls), free, coarse)


def _shares(column: pd.Series, levels: Sequence[str], weight: Array) -> Array:
    codes = level_codes(column, levels)
    known = codes >= 0
    counts = np.bincount(codes[known], weight[known], minlength=len(levels))
    return np.asarray(counts / (counts.sum() or 1.0))


def _found_discrete(
    column: pd.Series, levels: Sequence[str], weight: Array, place: int, groups: int, shape: Shape
) -> Column:
    name = str(column.name)
    share = _shares(column, levels, weight)
    effect = _of_levels(shape.effect.get(name, 0.0), levels)
    doubt = _of_levels(shape.doubt.get(name, 1.0), levels)
    if isinstance(column.dtype, pd.CategoricalDtype) and column.cat.ordered:
        above = np.cumsum(share[::-1])[::-1][1:]
        term: Term = Steps(name, place, np.tile(above, (groups, 1)))
        return Column(term, np.diff(effect), doubt[1:])
    return Column(Levels(name, place, np.tile(share, (groups, 1))), effect, doubt)


def _of_levels(given: float | Mapping[str, float], levels: Sequence[str]) -> Array:
    if isinstance(given, Mapping):
        missing = [level for level in levels if level not in given]
        if missing:
            raise ValueError(f"no opinion on {missing[0]!r}; give one for every level, or none")
        return np.array([float(given[level]) for level in levels])
    return np.full(len(levels), float(given))


def _found_number(
    values: Array, weight: Array, name: str, place: int, shape: Shape
) -> tuple[Column, list[Column]]:
    seen = ~np.isnan(values)
    known, weight = values[seen], weight[seen]
    scale = _scale(known, weight, place, may_log=shape.bends)
    prior, doubt = shape.effect.get(name, 0.0), shape.doubt.get(name)
    slope = np.array([float(prior) * scale.spread])  # type: ignore[arg-type]
    spread = 1.0 if doubt is None else float(doubt) * scale.spread  # type: ignore[arg-type]
    line = Column(Line(name, scale), slope, np.array([spread]))
    distinct = len(np.unique(known))
    if not shape.bends or distinct < FEWEST_FOR_BENDS:
        return line, []
    wanted = round(1.6 * weight.sum() ** (1 / 3))
    numbers = _in_place(known, place)
    term = _bends(name, scale, numbers, weight, min(max(wanted, FEWEST_KNOTS), MOST_KNOTS))
    return line, [Column(term, np.zeros(term.width), np.ones(term.width))]


def _scale(known: Array, weight: Array, place: int, *, may_log: bool) -> Scale:
    """Use logs where every value is positive and the logs lie more evenly about their mean."""
    if len(known) == 0:
        return Scale(place, False, 0.0, 1.0)
    in_logs = False
    if may_log and known.min() > 0 and np.ptp(known) > 0:
        in_logs = abs(_skewness(np.log(known), weight)) < abs(_skewness(known, weight))
    centre, spread = _moments(np.log(known) if in_logs else known, weight)
    return Scale(place, in_logs, centre, spread if spread > 0 else 1.0)


def _moments(values: Array, weight: Array) -> tuple[float, float]:
    centre = float(np.average(values, weights=weight))
    return centre, float(np.average((values - centre) ** 2, weights=weight)) ** 0.5


def _skewness(values: Array, weight: Array) -> float:
    centre, spread = _moments(values, weight)
    return float(np.average(((values - centre) / spread) ** 3, weights=weight))


def _bends(name: str, scale: Scale, numbers: Array, weight: Array, knots_wanted: int) -> Bends:
    seen = ~np.isnan(numbers[:, scale.position])
    numbers, weight = numbers[seen], weight[seen]
    at = scale.apply(
        Coded(np.zeros(len(numbers), np.intp), np.empty((len(numbers), 0), np.int16), numbers)
    )
    inner = np.unique(np.quantile(np.unique(at), np.linspace(0, 1, knots_wanted)))
    knots = np.concatenate([[inner[0]] * 3, inner, [inner[-1]] * 3])
    basis = scipy.interpolate.BSpline.design_matrix(at, knots, 3).toarray()
    plain = np.column_stack([np.ones_like(at), at])
    root = np.sqrt(weight)[:, None]
    straight = np.linalg.lstsq(plain * root, basis * root, rcond=None)[0]
    bend = np.diff(np.eye(basis.shape[1]), 2, axis=0)
    strength, vectors = np.linalg.eigh(bend.T @ bend)
    kept = strength > 1e-8 * strength.max()
    turn = vectors[:, kept] / np.sqrt(strength[kept])
    left = (basis - plain @ straight) @ turn
    size = np.sqrt(np.average(left**2, axis=0, weights=weight).sum())
    return Bends(name, scale, knots, straight, turn / size)


def _in_place(values: Array, position: int) -> Array:
    numbers = np.zeros((len(values), position + 1))
    numbers[:, position] = values
    return numbers


def _found_departures(
    frame: pd.DataFrame,
    weight: Array,
    blocks: Sequence[Column],
    groups: Sequence[str],
    group_column: str,
) -> list[Column]:
    """Build one level for each group, and each input's departure in each group."""
    share = _shares(frame[group_column], groups, weight)
    level = Column(_GroupLevel(group_column, share), np.zeros(len(groups)), np.ones(len(groups)))
    inner = [
        Column(Departure(block.term, g), np.zeros(block.term.width), block.doubt)
        for block in blocks
        for g in range(len(groups))
    ]
    return [level, *inner]


@dataclass(frozen=True)
class _GroupLevel:
    """One column for each group, less its share."""

    owner: str
    share: Array
    family: str = "groups"

    @property
    def width(self) -> int:
        return len(self.share)

    def columns(self, items: Coded) -> Array:
        return np.asarray((items.group[:, None] == np.arange(self.width)) - self.share)
