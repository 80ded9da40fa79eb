"""What the commands that read a shop's own file share: what it is told, and what they say of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import click

from resale.errors import ReadingError
from resale.storage.imports.matching.match_cells import Match
from resale.storage.imports.past.past_trial import UnknownWord
from resale.storage.imports.tables.table_files import Table

# Exit code where rows came back: 0 is only said where none did.
CAME_BACK = 1
MATCHES = click.option(
    "--match", "matches", multiple=True, metavar="THEIRS=OURS", help="A column and what it is."
)
WORDS = click.option(
    "--word",
    "words",
    multiple=True,
    metavar="OURS:WORD=OPTION",
    help="A word in a column and what it means; nothing after = is not looked at, and for a kind "
    "leaves its rows out.",
)

FIRST = click.option(
    "--first", type=click.Choice(["day", "month"]), help="What comes first in dates."
)
DECIMAL = click.option(
    "--decimal", type=click.Choice([".", ","]), help="What stands before the cents."
)


def told_columns(matches: Iterable[str]) -> Mapping[str, str]:
    """Columns as they were typed: ours by the heading."""
    return dict(_pair(text, "--match") for text in matches)


def told_words(words: Iterable[str]) -> Mapping[tuple[str, str], str]:
    """Words as they were typed: what each means, by our column and the word.

    Raises
    ------
    ReadingError
        If one names no column.
    """
    found = {}
    for text in words:
        place, means = _pair(text, "--word")
        column, colon, word = place.partition(":")
        if not colon:
            raise ReadingError(
                f"{text[:60]!r} names no column", where="--word", remedy="write hole:tiny=seen_1"
            )
        found[column.strip(), word.strip()] = means
    return found


def _pair(text: str, option: str) -> tuple[str, str]:
    # A heading may hold the sign itself; our names never do.
    theirs, sign, ours = text.rpartition("=")
    if not sign:
        raise ReadingError(
            f"{text[:60]!r} has no = in it", where=option, remedy="write 'Sold for=price'"
        )
    return theirs.strip(), ours.strip()


def reading_notes(
    table: Table,
    matches: Sequence[Match],
    unknown: Iterable[UnknownWord],
    guessed: Iterable[UnknownWord],
) -> list[str]:
    """Say how a file was read, as far as a person may want to put it right.

    Parameters
    ----------
    unknown, guessed : iterable of UnknownWord
        Words that nobody explained, and words taken for what they usually mean.
    """
    lines = list(table.passed_over)
    if table.letters and not table.letters.startswith("UTF"):
        lines.append(f"Letters read as {table.letters}.")
    over = [one.heading for one in matches if not one.column]
    if over:
        lines.append(f"Columns passed over: {', '.join(over)}.")
    lines += [
        f"  kind: {one.word!r} taken for {one.nearest}, {one.count:,} rows" for one in guessed
    ]
    for one in unknown:
        near = f"; perhaps {one.nearest}" if one.nearest else ""
        lines.append(f"  {one.column}: {one.word!r} in {one.count:,} rows is not known{near}")
    return lines
