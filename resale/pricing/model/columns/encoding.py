"""From a table of items to columns of numbers, with what is believed of each column."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from resale.errors import ReadingError
from resale.pricing.model.columns.basis import Basis
from resale.pricing.model.columns.terms import Array, Coded, Levels, Term, groups_of
from resale.pricing.model.hyperparameters import Pull

BLOCK = 8192
# Options that are taken out of a fit's system together: small enough to solve in a moment.
EXCLUSIVE_LOT = 256


@dataclass(frozen=True)
class Column:
    """What is believed of one block of columns before any sale.

    Attributes
    ----------
    prior, doubt : ndarray, shape (width,)
        Expected weight and its standard deviation.
    """

    term: Term
    prior: Array
    doubt: Array


@dataclass(frozen=True)
class Encoder:
    """Turns a table into coded items and coded items into columns.

    Attributes
    ----------
    group_column : str or None
        Name of the column that holds the group (kind).
    groups : tuple of str
    discrete, levels : tuple
        Names of the discrete inputs and their levels in order.
    numeric : tuple of str
    blocks : tuple of Column
    pulls : mapping of family to Pull
        Opinions on the shrinkage of each family, in the order of `families`.
    """

    group_column: str | None
    groups: tuple[str, ...]
    discrete: tuple[str, ...]
    levels: tuple[tuple[str, ...], ...]
    numeric: tuple[str, ...]
    blocks: tuple[Column, ...]
    pulls: dict[str, Pull]

    @cached_property
    def prior(self) -> Array:
        """Expected weight of every column, shape (p,)."""
        return np.concatenate([block.prior for block in self.blocks])

    @cached_property
    def doubt(self) -> Array:
        """Standard deviation of every weight before any sale, shape (p,)."""
        return np.concatenate([block.doubt for block in self.blocks])

    @cached_property
    def families(self) -> tuple[str, ...]:
        """Names of the families, each once."""
        return tuple(dict.fromkeys(block.term.family for block in self.blocks))

    @cached_property
    def family(self) -> npt.NDArray[np.intp]:
        """Family of every column, shape (p,)."""
        widths = [block.term.width for block in self.blocks]
        index = [self.families.index(block.term.family) for block in self.blocks]
        return np.repeat(index, widths)

    @cached_property
    def apart(self) -> npt.NDArray[np.intp]:
        """Group that each column speaks of, where items of no other fill it; else -1."""
        return np.concatenate([groups_of(block.term) for block in self.blocks])

    @cached_property
    def exclusive(self) -> npt.NDArray[np.intp]:
        """Lot of each option of the input with most options; -1 elsewhere, shape (p,).

        An item has one of them at most, so no two ever meet.
        """
        lots = np.full(len(self.doubt), -1)
        levels = [
            (last - first, first, last)
            for block, (first, last) in zip(self.blocks, self.spans, strict=True)
            if isinstance(block.term, Levels)
        ]
        if levels:
            width, first, last = max(levels)
            lots[first:last] = np.arange(width) // EXCLUSIVE_LOT
        return lots

    @cached_property
    def owners(self) -> tuple[str, ...]:
        """Names under which contributions are shown, each once."""
        return tuple(dict.fromkeys(block.term.owner for block in self.blocks))

    @cached_property
    def spans(self) -> tuple[tuple[int, int], ...]:
        """First column and one past the last of every block."""
        ends = np.cumsum([block.term.width for block in self.blocks])
        return tuple(zip(np.append(0, ends[:-1]).tolist(), ends.tolist(), strict=True))

    @cached_property
    def bases(self) -> tuple[Basis, ...]:
        """What each option adds to the columns, for each group."""
        sizes = [len(levels) for levels in self.levels]
        return tuple(
            Basis.of(sizes, len(self.numeric), group, [block.term for block in self.blocks])
            for group in range(len(self.groups))
        )

    def matrix(self, items: Coded) -> Array:
        """All columns for these items, shape (n, p)."""
        return np.hstack([block.term.columns(items) for block in self.blocks])

    def pieces(self, items: Coded) -> Iterator[tuple[slice, Array]]:
        """Yield the columns some thousand items at a time, so that memory stays small."""
        for start in range(0, len(items), BLOCK):
            rows = slice(start, min(start + BLOCK, len(items)))
            yield rows, self.matrix(items.rows(rows))

    def by_owner(self, columns: Array, weights: Array) -> Array:
        """Sum columns times weights by the name they are shown under, shape (n, owners).

        Parameters
        ----------
        columns : ndarray, shape (n, columns)
        weights : ndarray, shape (columns,)
            Log price for each unit of a column.

        Returns
        -------
        ndarray, shape (n, owners)
            Log price.
        """
        shares = np.zeros((len(columns), len(self.owners)))
        for block, (first, last) in zip(self.blocks, self.spans, strict=True):
            place = self.owners.index(block.term.owner)
            shares[:, place] += columns[:, first:last] @ weights[first:last]
        return shares

    def code(self, frame: pd.DataFrame) -> Coded:
        """Look up every cell; unknown words and empty cells are *not looked at*.

        Raises
        ------
        ReadingError
            When a column is missing, or a group is not one that the model knows.
        """
        wanted = [
            *self.discrete,
            *self.numeric,
            *([self.group_column] if self.group_column else []),
        ]
        missing = [name for name in wanted if name not in frame]
        if missing:
            raise ReadingError(
                f"column {missing[0]} is missing", remedy="give every column that the fit saw"
            )
        codes = np.empty((len(frame), len(self.discrete)), dtype=np.int16)
        for place, (name, levels) in enumerate(zip(self.discrete, self.levels, strict=True)):
            codes[:, place] = level_codes(frame[name], levels)
        numbers = np.empty((len(frame), len(self.numeric)))
        for place, name in enumerate(self.numeric):
            numbers[:, place] = pd.to_numeric(frame[name], errors="coerce")
        return Coded(self._group_codes(frame), codes, numbers)

    def _group_codes(self, frame: pd.DataFrame) -> npt.NDArray[np.intp]:
        if self.group_column is None:
            return np.zeros(len(frame), dtype=np.intp)
        codes = level_codes(frame[self.group_column], self.groups).astype(np.intp)
        if np.any(codes < 0):
            row = int(np.argmax(codes < 0))
            raise ReadingError(
                f"{self.group_column} {frame[self.group_column].iloc[row]!r} is not known",
                where=f"row {row + 1}",
                remedy=f"use one of {', '.join(self.groups)}",
            )
        return codes


def found_levels(column: pd.Series) -> tuple[str, ...]:
    """Levels of a column of words: those it declares, or those it has, sorted."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        return tuple(column.cat.categories.astype(str))
    return tuple(sorted(column.dropna().astype(str).unique()))


def level_codes(column: pd.Series, levels: Sequence[str]) -> npt.NDArray[np.int16]:
    """Place of each cell among the levels, -1 for anything else.

    Parameters
    ----------
    column : Series of length n
    levels : sequence of str

    Returns
    -------
    ndarray of int16, shape (n,)
    """
    if isinstance(column.dtype, pd.CategoricalDtype):
        known = pd.Index(column.cat.categories.astype(str))
        place = pd.Index(levels).get_indexer(known)
        codes = column.cat.codes.to_numpy()
        return np.where(codes < 0, -1, place[codes]).astype(np.int16)
    if not pd.api.types.is_string_dtype(column.dtype):
        column = column.astype("object").where(column.notna(), None).map(_as_word)
    cells = column.to_numpy(dtype=object)
    return pd.Index(list(levels), dtype=object).get_indexer(pd.Index(cells)).astype(np.int16)


def _as_word(cell: object) -> object:
    return None if cell is None else str(cell)
