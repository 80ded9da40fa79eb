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


def folder_that_is_there(folder: Path | None) -> Path | None:
    """Give a shop's folder as it was named; one that is not there is asked about, never made.

    Raises
    ------
    ItemFileError
        If there is none, and nobody to ask or nobody who wants it.
    """
    if folder is None or folder.exists():
        return folder
    question = f"There is no folder {folder}. Begin a new shop there?"
    if sys.stdin.isatty() and click.confirm(question, err=True):
        return folder
    raise ItemFileError(
        "there is no such folder",
        where=str(folder),
        remedy="look at its name, or make the folder first where a new shop is to be",
    )


def _checked(ctx: click.Context, _: click.Parameter, folder: Path | None) -> Path | None:
    # A copy may be brought back into a folder that is still to be made.
    return folder if ctx.command.name == "bring-back" else folder_that_is_there(folder)


FOLDER = click.option(
    "--folder", type=PATH, callback=_checked, help="Where the shop's records are kept."
)


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
