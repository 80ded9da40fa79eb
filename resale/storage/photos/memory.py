"""Memory that a large picture took, given back to the machine.

glibc keeps what was freed for the next allocation of this process: after a few large photos a
server held hundreds of megabytes that nothing used (malloc_trim(3)).
"""

from __future__ import annotations

import ctypes
import sys
from functools import cache
from typing import Any


def give_memory_back() -> None:
    """Give back what is free; do nothing where the system has no such call."""
    trim = _trim()
    if trim is not None:
        trim(0)


@cache
def _trim() -> Any:
    if not sys.platform.startswith("linux"):
        return None
    # Not every Linux has glibc; then there is nothing to ask.
    return getattr(ctypes.CDLL(None), "malloc_trim", None)
