"""The command that keeps the folder of photos tidy."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.settings import read_settings
from resale.storage.photos.retention import tidy_photos


@click.command("tidy-photos", short_help="Remove photos that are kept no longer.")
@FOLDER
def tidy(folder: Path | None) -> None:
    """Remove photos of what was sold or passed on more than photo_days ago.

    Those marked for teaching stay. The shop does the same whenever it is opened. Files that a
    crash left without a row go as well.
    """
    settings = read_settings(folder)
    with open_ledger(settings) as records:
        gone = tidy_photos(records, settings, datetime.now().astimezone())
    click.echo(f"{gone.photos:,} photos removed; files without a row: {gone.strays:,}.")
