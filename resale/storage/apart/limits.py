"""What a process that reads a stranger's file is given: memory, time, and little of our own.

OWASP, File Upload Cheat Sheet ("Upload and Download Limits"); CWE-409, CWE-776.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

ROOT = Path(__file__).parents[3]
# What a process needs of its surroundings; passwords of a server are not among it.
_HANDED_ON = ("PATH", "SYSTEMROOT", "LANG", "LC_ALL", "TMPDIR", "TEMP")


def surroundings() -> dict[str, str]:
    """Give the environment of such a process."""
    handed_on = {one: os.environ[one] for one in _HANDED_ON if one in os.environ}
    return {**handed_on, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}


def limit_oneself(memory: int, cpu_seconds: int) -> None:
    """Take no more memory and time than given, and let the desks go first.

    Parameters
    ----------
    memory : int
        Bytes of addresses, for this process and each that it starts.
    cpu_seconds : int
        Seconds of processor, likewise.
    """
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - there is none on Windows

    os.nice(10)
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with suppress(ValueError, OSError):
        # Some systems (macOS) know this limit and do not keep it.
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
