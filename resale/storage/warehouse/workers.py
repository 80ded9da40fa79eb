"""Lots that lie with many workers: the sums of `resale.pricing.sums.lots`, by Dask.

Every worker goes through a share of the lots one after another and answers with one sum, so what
travels does not grow with the sales. What is left with a lot stays where it was worked out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import reduce
from typing import Any

from resale.pricing.sums.lots import Here, added, itself
from resale.storage.warehouse.libraries import of_the_chain

# Of the lots, for each worker: one that is held up by others is helped out.
SHARES = 3


@dataclass(frozen=True)
class OnWorkers:
    """Lots in shares, each share with a worker.

    Attributes
    ----------
    client : distributed.Client
    shares : sequence
        Lists of pieces, or futures of lists.
    load : callable or future of one
        Makes a lot of a piece.
    """

    client: Any
    shares: Sequence[Any]
    load: Any = itself

    @classmethod
    def of(
        cls, client: Any, pieces: Sequence[Any], load: Callable[[Any], Any] = itself
    ) -> OnWorkers:
        """Deal pieces out.

        Parameters
        ----------
        client : distributed.Client
        pieces : sequence
        load : callable
            Makes a lot of a piece.

        Returns
        -------
        OnWorkers
        """
        wanted = SHARES * max(1, len(client.scheduler_info(n_workers=-1)["workers"]))
        size = -(-len(pieces) // wanted)
        shares = [list(pieces[at : at + size]) for at in range(0, len(pieces), size)]
        return cls(client, shares, _spread(client, load))

    def each(self, work: Callable[..., Any], *beside: OnWorkers, **given: Any) -> OnWorkers:
        """What a function says of each lot, left with its worker.

        Parameters
        ----------
        work : callable
        *beside : OnWorkers
        **given : Any

        Returns
        -------
        OnWorkers
        """
        return replace(self, shares=self._asked(said_of, work, beside, given), load=itself)

    def total(self, work: Callable[..., Any], *beside: OnWorkers, **given: Any) -> Any:
        """Sum of what a function says.

        Parameters
        ----------
        work : callable
        *beside : OnWorkers
        **given : Any

        Returns
        -------
        Any
        """
        sums = self._asked(sum_of, work, beside, given)
        return reduce(added, (future.result() for future in sums))

    def _asked(
        self,
        whole: Callable[..., Any],
        work: Callable[..., Any],
        beside: Sequence[OnWorkers],
        given: dict[str, Any],
    ) -> list[Any]:
        sent = {name: _spread(self.client, value) for name, value in given.items()}
        sides = (self, *beside)
        loads = [side.load for side in sides]
        return [
            self.client.submit(whole, work, loads, list(row), sent, pure=False)
            for row in zip(*(side.shares for side in sides), strict=True)
        ]


def _spread(client: Any, value: Any) -> Any:
    """Send what every share needs to every worker once."""
    return client.scatter(value, broadcast=True, hash=False)


def said_of(
    work: Callable[..., Any], loads: Sequence[Any], shares: Sequence[Any], given: dict[str, Any]
) -> list[Any]:
    """What a function says of each lot of a share; runs with a worker.

    Parameters
    ----------
    work : callable
    loads : sequence of callable
        Of the lots, and of what lies beside them.
    shares : sequence of list
        The pieces of each.
    given : dict
        The same for every lot.

    Returns
    -------
    list
    """
    return list(Here(shares[0], loads[0]).each(work, *_beside(loads, shares), **given).pieces)


def sum_of(
    work: Callable[..., Any], loads: Sequence[Any], shares: Sequence[Any], given: dict[str, Any]
) -> Any:
    """Sum of what a function says of a share; runs with a worker, parameters as for `said_of`.

    Parameters
    ----------
    work : callable
    loads : sequence of callable
    shares : sequence of list
    given : dict
    """
    return Here(shares[0], loads[0]).total(work, *_beside(loads, shares), **given)


def _beside(loads: Sequence[Any], shares: Sequence[Any]) -> list[Here]:
    return [Here(share, load) for share, load in zip(shares[1:], loads[1:], strict=True)]


@contextmanager
def local_workers(count: int) -> Iterator[Any]:
    """Open so many workers on this machine, and close them again.

    Yields
    ------
    distributed.Client
    """
    distributed = of_the_chain("distributed", "work with several workers")
    with (
        distributed.LocalCluster(
            n_workers=count, threads_per_worker=1, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client


def workers_at(address: str) -> Any:
    """Reach workers that were started elsewhere; each has to see the warehouse's folder."""
    return of_the_chain("distributed", "work with several workers").Client(address)
