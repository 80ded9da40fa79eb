"""Libraries that only a chain needs, loaded when they are asked for."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from resale.errors import ResaleError


class NotInstalledError(ResaleError):
    """A library of the extra `chain` is not there."""


def of_the_chain(module: str, what: str) -> Any:
    """Load a library, or say which and how to get it.

    Parameters
    ----------
    module : str
        Such as ``pyarrow.parquet``.
    what : str
        What needs it, to begin the sentence with.

    Raises
    ------
    NotInstalledError
    """
    try:
        return import_module(module)
    except ModuleNotFoundError:
        raise NotInstalledError(
            f"{what} needs the library {module.split('.', maxsplit=1)[0]}, which is not installed",
            remedy="install it with: .venv/bin/pip install -c .ci/constraints.txt -e '.[chain]'",
        ) from None
