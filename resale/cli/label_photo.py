"""The command that reads a photographed label."""

from __future__ import annotations

from pathlib import Path

import click

from resale.cli.console import FOLDER, PATH
from resale.config.settings import read_settings
from resale.services.photos.read_label import read_label
from resale.storage.imports.tables.table_files import read_bytes

LOOK_AGAIN = 1


@click.command("read-label", short_help="Read a label off a photo.")
@click.argument("photo", type=PATH)
@FOLDER
@click.pass_context
def read_label_photo(ctx: click.Context, photo: Path, folder: Path | None) -> None:
    """Read what the label on PHOTO says of fibres and care, and name the words to look at again.

    Decides nothing and keeps nothing. Ends with exit code 1 where a word was unsure, or nothing
    was found. Needs the optional part ocr and the program tesseract.
    """
    read = read_label(read_settings(folder), read_bytes(photo))
    click.echo(f"Fibres  {read.fibres or 'nothing found'}")
    click.echo(f"Care    {read.care or 'nothing found'}")
    if read.left_out:
        click.echo(f"Of neither: {read.left_out}")
    for word in read.unsure:
        why = f"{word.confidence} % sure" if word.why == "unclear" else "not known here"
        click.echo(f"Look again: {word.text} ({why})", err=True)
    if read.unsure or not (read.fibres or read.care):
        ctx.exit(LOOK_AGAIN)
