"""What the commands share: paths as they are named, files that are written, a bar on the screen."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TypeVar

import click

from resale.errors import ItemFileError

One = TypeVar("One")
# The command line takes any path; what is wrong with it is said in a sentence of ours.
PATH = click.Path(path_type=Path)


@contextmanager
def written(path: Path) -> Iterator[IO[str]]:
    """Open a CSV file for writing, or the screen for ``-``."""
    if str(path) == "-":
        with click.open_file("-", "w", encoding="utf-8") as stream:
            yield stream
        return
    try:
        # Spreadsheets take a file for UTF-8 only when it begins with this mark.
        with path.open("w", encoding="utf-8-sig", newline="") as stream:
            yield stream
    except OSError as fault:
        raise ItemFileError(
            f"the file cannot be written ({fault.strerror})",
            where=str(path),
            remedy="name another place",
        ) from None


def shown(parts: Sequence[One], label: str) -> Iterable[One]:
    """Walk through parts, with a bar where somebody watches."""
    if not sys.stderr.isatty():
        yield from parts
        return
    with click.progressbar(parts, label=label, file=sys.stderr) as bar:
        yield from bar
