"""Sales in lots: what a fit asks of them is a sum over lots, so it matters not where they lie.

A fit goes through its sales a few times. Each time a function says something of one lot, and what
it says is either added up or left where the lot is, for a later time. A shop's sales are one lot
in memory; a chain's are read from files one after another (`Here`), or by many machines
(`resale.storage.warehouse.workers`). The fit is the same code.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from typing import Any, Protocol
from uuid import uuid4

import numpy as np


class Lots(Protocol):
    """Something of each lot: its sales, or what an earlier round left there."""

    def each(self, work: Callable[..., Any], *beside: Any, **given: Any) -> Lots:
        """What a function says of each lot, left where the lot is.

        Parameters
        ----------
        work : callable
            Of a lot, and of what lies beside it; defined in a module, as it may travel.
        *beside : Lots
            What earlier rounds left, lot by lot.
        **given : Any
            The same for every lot.

        Returns
        -------
        Lots
        """

    def total(self, work: Callable[..., Any], *beside: Any, **given: Any) -> Any:
        """Sum over the lots of what a function says of each; parameters as for `each`.

        Parameters
        ----------
        work : callable
        *beside : Lots
        **given : Any

        Returns
        -------
        Any
            Of the kind that the function returns; tuples are added entry by entry.
        """


def added(first: Any, second: Any) -> Any:
    """Add what two lots say; arrays of the first are reused, for they may be large.

    Parameters
    ----------
    first, second : ndarray, number, tuple of those, or anything with ``+``

    Returns
    -------
    Any
    """
    if isinstance(first, tuple):
        return tuple(added(a, b) for a, b in zip(first, second, strict=True))
    if isinstance(first, np.ndarray):
        first += second
        return first
    return first + second


def itself(piece: Any) -> Any:
    """What lies in memory is loaded as it is."""
    return piece


def unpickled(path: Path) -> Any:
    """Take up what an earlier round of this process laid aside."""
    return pickle.loads(path.read_bytes())  # noqa: S301


@dataclass(frozen=True)
class Here:
    """Lots of this process, one after another.

    Attributes
    ----------
    pieces : sequence
        The lots, or what they are loaded from.
    load : callable
        Makes a lot of a piece, each time anew; memory holds one at a time.
    scratch : Path or None
        Folder in which `each` lays aside what is left with the lots; in memory where None.
    """

    pieces: Sequence[Any]
    load: Callable[[Any], Any] = itself
    scratch: Path | None = None

    def each(self, work: Callable[..., Any], *beside: Here, **given: Any) -> Here:
        """What a function says of each lot.

        Parameters
        ----------
        work : callable
        *beside : Here
        **given : Any

        Returns
        -------
        Here
        """
        said = [self._aside(work(*row, **given)) for row in self._rows(beside)]
        return replace(self, pieces=said, load=itself if self.scratch is None else unpickled)

    def total(self, work: Callable[..., Any], *beside: Here, **given: Any) -> Any:
        """Sum of what a function says.

        Parameters
        ----------
        work : callable
        *beside : Here
        **given : Any

        Returns
        -------
        Any
        """
        return reduce(added, (work(*row, **given) for row in self._rows(beside)))

    def _rows(self, beside: Sequence[Here]) -> Iterator[tuple[Any, ...]]:
        sides = (self, *beside)
        for row in zip(*(side.pieces for side in sides), strict=True):
            yield tuple(side.load(piece) for side, piece in zip(sides, row, strict=True))

    def _aside(self, said: Any) -> Any:
        if self.scratch is None:
            return said
        path = self.scratch / f"{uuid4().hex}.lot"
        path.write_bytes(pickle.dumps(said, protocol=5))
        return path
