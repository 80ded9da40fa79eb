"""The columns of many items, and the three sums over them that a fit and a band need.

Two roads to the same numbers. `Dense` writes the columns out, some thousand items at a time, and
serves any encoder. `Cells` serves encoders whose options and numbers enter as they are (a rule
book): an item is then a handful of cells, one for each option it has and one for each number, and
everything follows from counting how often two cells meet. That is a hundred times less work for a
book of fifty signals.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.number_terms import Bends, Line
from resale.pricing.model.columns.terms import Array, Coded, Departure, Pair, Term


@dataclass(frozen=True)
class Cross:
    """Weighted sums over items.

    Attributes
    ----------
    gram : ndarray, shape (p, p)
        ``X'WX`` of the columns.
    moment : ndarray, shape (p,)
        ``X'Wy``.
    first : ndarray, shape (p,)
        ``X'w``.
    """

    gram: Array
    moment: Array
    first: Array


class Design(Protocol):
    """Columns of n items."""

    def cross(self, weight: Array, target: Array) -> Cross:
        """Weighted cross products of the columns with one another and with a target (n,).

        Parameters
        ----------
        weight : ndarray, shape (n,)
        target : ndarray, shape (n,)

        Returns
        -------
        Cross
            ``X' W X``, shape (columns, columns), and ``X' W y``, shape (columns,).
        """

    def times(self, weights: Array) -> Array:
        """Columns times weights, shape (n,)."""

    def quadratic(self, covariance: Array, means: Array) -> Array:
        """``(x - means)' covariance (x - means)`` of each item, shape (n,).

        Parameters
        ----------
        covariance : ndarray, shape (columns, columns)
        means : ndarray, shape (columns,)

        Returns
        -------
        ndarray, shape (n,)
        """


def design_of(encoder: Encoder, items: Coded) -> Design:
    """Choose the road that the encoder allows.

    Parameters
    ----------
    encoder : Encoder
    items : Coded
        Codes and numbers of the items, as the encoder reads them.

    Returns
    -------
    Design
        By cells where options and numbers enter as they are, else by columns.
    """
    plain = not any(isinstance(_inner(b.term), Pair | Line | Bends) for b in encoder.blocks)
    return Cells(encoder, items) if plain else Dense(encoder, items)


def _inner(term: Term) -> Term:
    return term.inner if isinstance(term, Departure) else term


@dataclass(frozen=True)
class Dense:
    """Columns written out piece by piece."""

    encoder: Encoder
    items: Coded

    def cross(self, weight: Array, target: Array) -> Cross:
        """Weighted cross products of the columns.

        Parameters
        ----------
        weight : ndarray, shape (n,)
        target : ndarray, shape (n,)

        Returns
        -------
        Cross
        """
        width = len(self.encoder.doubt)
        gram, moment, first = np.zeros((width, width)), np.zeros(width), np.zeros(width)
        for rows, columns in self.encoder.pieces(self.items):
            rooted = columns * np.sqrt(weight[rows])[:, None]
            gram += rooted.T @ rooted
            moment += columns.T @ (weight[rows] * target[rows])
            first += weight[rows] @ columns
        return Cross(gram, moment, first)

    def times(self, weights: Array) -> Array:
        """Columns times weights."""
        out = np.zeros(len(self.items))
        for rows, columns in self.encoder.pieces(self.items):
            out[rows] = columns @ weights
        return out

    def quadratic(self, covariance: Array, means: Array) -> Array:
        """Quadratic form of each item about the means.

        Parameters
        ----------
        covariance : ndarray, shape (columns, columns)
        means : ndarray, shape (columns,)

        Returns
        -------
        ndarray, shape (n,)
        """
        out = np.zeros(len(self.items))
        for rows, columns in self.encoder.pieces(self.items):
            out[rows] = quadratic_form(columns - means, covariance)
        return out


@dataclass(frozen=True)
class Cells:
    """Items as the cells they fill, by group."""

    encoder: Encoder
    items: Coded

    @cached_property
    def by_group(self) -> list[tuple[npt.NDArray[np.intp], csr_array, csr_array]]:
        """Rows of each group that has items, what its cells add to the columns, its cells.

        Cells that no item fills are left out: a few sales fill a few of a book's thousand.
        """
        found = []
        for group in range(len(self.encoder.groups)):
            rows = np.flatnonzero(self.items.group == group)
            if len(rows):
                basis = self.encoder.bases[group]
                cells = basis.cells(self.items.rows(rows))
                filled = np.flatnonzero(abs(cells).sum(axis=0))
                found.append((rows, basis.rows[filled], cells[:, filled]))
        return found

    def cross(self, weight: Array, target: Array) -> Cross:
        """Count how often two cells meet, then turn cells into columns.

        Parameters
        ----------
        weight : ndarray, shape (n,)
        target : ndarray, shape (n,)

        Returns
        -------
        Cross
            The same as from columns, up to the order of sums.
        """
        width = len(self.encoder.doubt)
        gram, moment, first = np.zeros((width, width)), np.zeros(width), np.zeros(width)
        for rows, adds, cells in self.by_group:
            weighted = cells.multiply(weight[rows][:, None]).tocsr()
            meet = (cells.T @ weighted).toarray()
            used = np.unique(adds.indices)
            turn = adds[:, used].toarray()
            gram[np.ix_(used, used)] += turn.T @ meet @ turn
            moment[used] += turn.T @ (weighted.T @ target[rows])
            first[used] += turn.T @ (cells.T @ weight[rows])
        return Cross(gram, moment, first)

    def times(self, weights: Array) -> Array:
        """Add up what each filled cell is worth."""
        out = np.zeros(len(self.items))
        for rows, adds, cells in self.by_group:
            out[rows] = cells @ (adds @ weights)
        return out

    def quadratic(self, covariance: Array, means: Array) -> Array:
        """Quadratic form over the cells of each item.

        Parameters
        ----------
        covariance : ndarray, shape (columns, columns)
        means : ndarray, shape (columns,)

        Returns
        -------
        ndarray, shape (n,)
        """
        out = np.zeros(len(self.items))
        for rows, adds, cells in self.by_group:
            used = np.union1d(adds.indices, np.flatnonzero(means))
            turn = adds[:, used].toarray()
            turn[0] -= means[used]
            inner = turn @ covariance[np.ix_(used, used)] @ turn.T
            for piece in range(0, len(rows), 4096):
                dense = cells[piece : piece + 4096].toarray()
                out[rows[piece : piece + 4096]] = quadratic_form(dense, inner)
        return out


def quadratic_form(rows: Array, matrix: Array) -> Array:
    """``x' M x`` of each row, shape (n,).

    Parameters
    ----------
    rows : ndarray, shape (n, columns)
    matrix : ndarray, shape (columns, columns)

    Returns
    -------
    ndarray, shape (n,)
    """
    return np.einsum("ij,ij->i", rows @ matrix, rows)
