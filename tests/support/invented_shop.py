"""The invented shop, filled once a run: to fill it takes seconds, a copy none."""

from __future__ import annotations

import fcntl
import os
from pathlib import Path

# Filled by a process beside the tests, so that the first that needs it need not wait for all of it.
CODE = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from invented_shop import filled
filled(Path(sys.argv[2]))
"""


def filled(shared: Path) -> Path:
    """Give the folder of the invented shop; of several processes the first fills it for all."""
    from resale.web import create_app  # noqa: PLC0415 - only where it is needed

    place = shared / "invented-shop"
    with (shared / "invented-shop.lock").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        if not place.exists():
            begun = shared / f"invented-shop-{os.getpid()}"
            create_app(begun, demo=True).extensions["resale"].records.dispose()
            begun.rename(place)
    return place
