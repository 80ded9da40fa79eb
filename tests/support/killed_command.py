"""Commands of the shop in processes of their own, to be killed at any moment."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from tempfile import TemporaryFile
from time import monotonic

import nursery

LONGEST = 600.0


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
        try:
            code = child.wait(kill_after or LONGEST)
        except subprocess.TimeoutExpired:
            child.kill()
            code = child.wait(LONGEST)
        seconds = monotonic() - began
        said.seek(0)
        return Ended(code, said.read(), seconds)
