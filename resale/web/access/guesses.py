"""Guesses at a password, counted exactly: a guess has its place before it is looked at.

Counted afterwards, twenty guesses sent at once would all be looked at before the first was counted
(CWE-307, CWE-367). Here a guess takes one of the few places first, and gives it back if it was
right.
"""

from __future__ import annotations

import threading
import time
from collections import defaultdict, deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field

from flask import current_app
from werkzeug.exceptions import TooManyRequests


@dataclass(frozen=True)
class Limit:
    """So many wrong guesses within so many seconds."""

    most: int
    seconds: float


BY_ADDRESS, BY_NAME = Limit(20, 60), Limit(6, 300)
MOST_NAMES = 10_000


@dataclass
class Guess:
    """One guess; wrong unless it is said to be right."""

    right: bool = False


@dataclass
class Guesses:
    """Wrong guesses of late and guesses under way, by whose they are.

    They are kept in memory; a restart forgets them, which a shop's own machine can afford.
    """

    _lock: threading.Lock = field(default_factory=threading.Lock)
    _made: dict[str, deque[float]] = field(default_factory=lambda: defaultdict(deque))

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
        at = time.monotonic()
        with self._lock:
            self._forget_old(at)
            for who, limit in limits.items():
                self._wait_for_a_place(who, limit, at)
            for who in limits:
                self._made[who].append(at)
        guess = Guess()
        try:
            yield guess
        finally:
            if guess.right:
                with self._lock, suppress(ValueError):
                    for who in limits:
                        self._made[who].remove(at)

    def _wait_for_a_place(self, who: str, limit: Limit, at: float) -> None:
        made = self._made[who]
        while made and made[0] <= at - limit.seconds:
            made.popleft()
        if len(made) >= limit.most:
            raise TooManyRequests(retry_after=max(1, round(made[0] + limit.seconds - at)))

    def _forget_old(self, at: float) -> None:
        """Forget names that nobody guesses at any more, once they are many."""
        if len(self._made) > MOST_NAMES:
            late = at - BY_NAME.seconds
            self._made = defaultdict(
                deque, {who: made for who, made in self._made.items() if made and made[-1] > late}
            )


EXTENSION = "resale.guesses"


def guesses() -> Guesses:
    """The guesses that the application that answers now has seen."""
    found: Guesses = current_app.extensions.setdefault(EXTENSION, Guesses())
    return found
