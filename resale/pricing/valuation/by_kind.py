"""What is laid out for each kind of the book, once somebody asks for that kind.

A shop sells a few of the kinds that a book knows. To lay out all of them at the start kept a new
shop, or a changed rule, waiting for kinds that nobody will ask for that day.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TypeVar

Of = TypeVar("Of")


class ByKind(Mapping[str, Of]):
    """A mapping of kind id to what `lay_out` makes of it.

    Parameters
    ----------
    kinds : iterable of str
        Ids of all kinds, in the order of the book.
    lay_out : callable
        From a kind's id to its value; asked once a kind. Two threads that ask for a kind at the
        same moment may both make it, and one of the two equal values is kept.
    """

    def __init__(self, kinds: Iterable[str], lay_out: Callable[[str], Of]) -> None:
        self._kinds = dict.fromkeys(kinds)
        self._lay_out = lay_out
        self._made: dict[str, Of] = {}

    def __getitem__(self, kind: str) -> Of:
        if kind not in self._made:
            if kind not in self._kinds:
                raise KeyError(kind)
            self._made.setdefault(kind, self._lay_out(kind))
        return self._made[kind]

    def __iter__(self) -> Iterator[str]:
        return iter(self._kinds)

    def __len__(self) -> int:
        return len(self._kinds)

    def __contains__(self, kind: object) -> bool:
        return kind in self._kinds
