"""Guesses at a password, counted exactly: a guess has its place before it is looked at.

Counted afterwards, twenty guesses sent at once would all be looked at before the first was counted
(CWE-307, CWE-367). Here a guess takes one of the few places first, and gives it back if it was
right. All processes that serve a shop's folder count together.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from werkzeug.exceptions import TooManyRequests

from resale.storage.between.counted import Full, Limit, give_back, take_places
from resale.web.core.shop import current_shop

BY_ADDRESS, BY_NAME = Limit(20, 60), Limit(6, 300)


@dataclass
class Guess:
    """One guess; wrong unless it is said to be right."""

    right: bool = False


@dataclass(frozen=True)
class Guesses:
    """Wrong guesses of late and guesses under way, by whose they are.

    Attributes
    ----------
    folder : Path
        The shop's.
    """

    folder: Path

    @contextmanager
    def guess(self, limits: dict[str, Limit]) -> Iterator[Guess]:
        """Let one guess be looked at, if there is a place for it under every limit.

        Parameters
        ----------
        limits : dict of str to Limit
            By whose guesses are counted together.

        Raises
        ------
        TooManyRequests
            With the seconds until there is a place again.
        """
        places = take_places(self.folder, limits, time.time())
        if isinstance(places, Full):
            raise TooManyRequests(retry_after=max(1, round(places.wait)))
        guess = Guess()
        try:
            yield guess
        finally:
            if guess.right:
                give_back(self.folder, places)


def guesses() -> Guesses:
    """The guesses that the shop which answers now has seen."""
    return Guesses(current_shop().settings.data_folder)
