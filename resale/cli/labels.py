"""The command of labels: list them, and say which spellings are one."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.settings import read_settings
from resale.errors import ReadingError
from resale.services.actor import at_the_machine
from resale.services.items.call_label import call_label
from resale.storage.items.label_rows import label_lines


@click.command(short_help="List labels, and say which names are one.")
@click.option(
    "--call",
    "calls",
    multiple=True,
    metavar="WRITTEN=NAME",
    help="What things marked so are called; the same name twice parts it again.",
)
@FOLDER
def labels(calls: tuple[str, ...], folder: Path | None) -> None:
    """List labels with every way in which they are written, and join or part them.

    Capitals, accents, dots and blanks never part a label.
    """
    settings = read_settings(folder)
    now = datetime.now().astimezone()
    pairs = [_pair(text) for text in calls]
    with open_ledger(settings) as records:
        for written, name in pairs:
            changed = call_label(records, at_the_machine(), written, name, now)
            click.echo(f"{written} is called {name} now: {changed:,} things.")
        for line in [] if pairs else label_lines(records):
            also = [f"{text} ({count:,})" for text, count in line.spellings if text != line.name]
            told = f", also written {', '.join(also)}" if also else ""
            click.echo(f"{line.name}: {line.items:,} things{told}")


def _pair(text: str) -> tuple[str, str]:
    written, sign, name = text.rpartition("=")
    if not sign or not written.strip():
        raise ReadingError(
            f"{text[:60]!r} has no = in it", where="--call", remedy="write 'Nord Haus KG=Nordhaus'"
        )
    return written.strip(), name.strip()
