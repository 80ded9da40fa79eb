"""Libraries that only a comparison needs: loaded when asked for, or a line that installs them."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

INSTALL = ".venv/bin/pip install -q -c .ci/constraints.txt -e '.[test,bench]'"


def library(name: str) -> ModuleType:
    """Load a library of the benchmarks.

    Raises
    ------
    SystemExit
        With the line to type, where it is not there.
    """
    try:
        return import_module(name)
    except ModuleNotFoundError as fault:
        raise SystemExit(
            f"{fault.name} is not installed; this line does it:\n  {INSTALL}"
        ) from None
