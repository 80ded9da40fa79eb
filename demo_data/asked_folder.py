"""The one word that the generators of this folder take: where to write."""

from __future__ import annotations

import argparse
from pathlib import Path


def asked_folder(what: str) -> Path:
    """Read the folder from the command line; this one where none is given.

    Parameters
    ----------
    what : str
        What the program makes, for its help.

    Returns
    -------
    Path
    """
    words = argparse.ArgumentParser(description=what)
    words.add_argument(
        "folder",
        nargs="?",
        type=Path,
        default=Path(__file__).parent,
        help="where to write; the folder of the program where left out",
    )
    found: Path = words.parse_args().folder
    return found
