"""Commands of the shop in processes of their own, to be killed at any moment.

Loading the program takes seconds; so one process loads it once, and forks a child for each command.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import IO

from running_shop import ROOT

NURSERY = """
import importlib, json, os, sys
from resale.cli.main import COMMANDS, commands
import resale.web
for place in COMMANDS.values():
    importlib.import_module(place.module)
for line in sys.stdin:
    said = json.loads(line)
    child = os.fork()
    if not child:
        os.dup2(os.open(said["out"], os.O_WRONLY | os.O_CREAT | os.O_TRUNC), 1)
        os.dup2(1, 2)
        sys.stdout = os.fdopen(1, "w", 1)
        try:
            commands.main(said["words"])
        finally:
            sys.stdout.flush()
    print(child, flush=True)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, below nought where it was killed, and what it said."""

    code: int
    said: str
    seconds: float


class Nursery:
    """Runs commands one after the other."""

    def __init__(self, orders: IO[str], answers: IO[str], place: Path) -> None:
        self._orders, self._answers, self._out = orders, answers, place / "said"

    def run(self, words: Sequence[str], kill_after: float | None = None) -> Ended:
        """Run a command, and kill it after so many seconds unless it has ended by then."""
        self._orders.write(json.dumps({"words": list(words), "out": str(self._out)}) + "\n")
        self._orders.flush()
        child, began = int(self._answers.readline()), monotonic()

        def kill() -> None:
            with suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)

        killer = threading.Timer(kill_after or 600, kill)
        killer.start()
        code = int(self._answers.readline())
        killer.cancel()
        return Ended(code, self._out.read_text(errors="replace"), monotonic() - began)


@contextmanager
def nursery(place: Path) -> Iterator[Nursery]:
    """A process with the program loaded, that runs commands when told."""
    process = subprocess.Popen(
        [sys.executable, "-c", NURSERY],
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None and process.stdout is not None
    try:
        yield Nursery(process.stdin, process.stdout, place)
    finally:
        process.stdin.close()
        process.wait(timeout=60)
        process.stdout.close()
