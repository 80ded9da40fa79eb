"""How often the same stranger may try: one limiter for the whole application.

Counts lie beside the records, where every process that serves the shop's folder sees them.
"""

from __future__ import annotations

import time
from pathlib import Path

from flask import Flask
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address
from limits.storage import MovingWindowSupport, Storage

from resale.storage.between.counted import Full, Limit, forget, take_places, taken
from resale.web.core.shop import current_shop


class CountsOfShop(Storage, MovingWindowSupport):
    """Counts of the shop that answers now, as the library that limits asks for them."""

    STORAGE_SCHEME = ["shop"]  # noqa: RUF012 - the library looks for it by this name

    @property
    def base_exceptions(self) -> type[Exception]:
        """What may go wrong on the way to another machine: there is none."""
        return OSError

    def acquire_entry(self, key: str, limit: int, expiry: int, amount: int = 1) -> bool:
        """Take places, if so many are left.

        Parameters
        ----------
        key : str
            Whose.
        limit, expiry : int
            So many within so many seconds.
        amount : int
            How many.
        """
        limits = {key: Limit(limit, expiry)}
        return not isinstance(take_places(_folder(), limits, time.time(), amount), Full)

    def get_moving_window(self, key: str, limit: int, expiry: int) -> tuple[float, int]:
        """Say when the oldest of the places was taken, and how many are.

        Parameters
        ----------
        key : str
            Whose.
        limit, expiry : int
            So many within so many seconds.
        """
        now = time.time()
        times = taken(_folder(), key, now - expiry)[-limit:]
        return (times[0] if times else now), len(times)

    def clear(self, key: str) -> None:
        """Free the places of somebody."""
        forget(_folder(), key)

    def reset(self) -> None:
        """Free all places."""
        forget(_folder())

    def check(self) -> bool:
        """Whether places can be counted: where the file cannot be, memory can."""
        return True

    def incr(self, key: str, expiry: int, amount: int = 1) -> int:
        """Refuse: windows move here, and nothing counts in fixed ones.

        Parameters
        ----------
        key : str
            Whose.
        expiry, amount : int
            For how long, and how many.

        Raises
        ------
        NotImplementedError
        """
        raise NotImplementedError

    def get(self, key: str) -> int:
        """Refuse, as `incr` does.

        Raises
        ------
        NotImplementedError
        """
        raise NotImplementedError

    def get_expiry(self, key: str) -> float:
        """Refuse, as `incr` does.

        Raises
        ------
        NotImplementedError
        """
        raise NotImplementedError


limiter = Limiter(get_remote_address, storage_uri="shop://", strategy="moving-window")


def init_app(app: Flask) -> None:
    """Count for an application; its configuration may switch counting off."""
    app.config.setdefault("RATELIMIT_HEADERS_ENABLED", True)
    app.config.setdefault("RATELIMIT_ENABLED", True)
    limiter.init_app(app)


def _folder() -> Path:
    return current_shop().settings.data_folder
