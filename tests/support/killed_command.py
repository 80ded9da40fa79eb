"""Commands of the shop in processes of their own, to be killed at any moment."""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from tempfile import TemporaryFile
from time import monotonic

import nursery


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, below nought where it was killed, and what it said."""

    code: int
    said: str
    seconds: float


def run(words: Sequence[str], kill_after: float | None = None) -> Ended:
    """Run a command, and kill it after so many seconds unless it has ended by then."""
    with TemporaryFile("w+") as said:
        child = nursery.start(words, os.environ, stdout=said, stderr=said)
        began = monotonic()
        killer = threading.Timer(kill_after or 600, child.kill)
        killer.start()
        code = child.wait(timeout=660)
        killer.cancel()
        seconds = monotonic() - began
        said.seek(0)
        return Ended(code, said.read(), seconds)
