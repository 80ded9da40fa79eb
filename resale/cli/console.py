"""What the commands share: paths as they are named, files that are written, a bar on the screen."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import IO, TypeVar

import click

from resale.errors import ItemFileError
from resale.whole_file import whole_file

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
    # Spreadsheets take a file for UTF-8 only when it begins with this mark.
    with whole(path) as draft, draft.open("w", encoding="utf-8-sig", newline="") as stream:
        yield stream


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """Let a file be written beside its name, which it gets once it is whole.

    A command that is killed, or finds the disk full, leaves what stood there as it was.

    Yields
    ------
    Path
        Where to write.

    Raises
    ------
    ItemFileError
        If nothing can be written there.
    """
    # What is no file, such as a pipe, is written to as it is.
    plain = not path.exists() or path.is_file()
    try:
        with whole_file(path.resolve()) if plain else nullcontext(path) as draft:
            yield draft
    except OSError as fault:
        raise ItemFileError(
            f"the file cannot be written ({fault.strerror})",
            where=str(path),
            remedy="name another place",
        ) from None


def shown(parts: Sequence[One], label: str) -> Iterable[One]:
    """Walk through parts, with a bar where somebody watches.

    Parameters
    ----------
    parts : sequence of One
        What is walked through; its length sets the bar's.
    label : str
        Words before the bar. Nothing is drawn where the errors go to a file.
    """
    if not sys.stderr.isatty():
        yield from parts
        return
    with click.progressbar(parts, label=label, file=sys.stderr) as bar:
        yield from bar
