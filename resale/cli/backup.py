"""Commands that keep a copy of a shop, and bring one back."""

from __future__ import annotations

import hashlib
from datetime import datetime
from pathlib import Path

import click

from resale.cli.console import FOLDER, PATH
from resale.cli.sales import open_ledger
from resale.config.settings import Settings, read_settings
from resale.errors import ItemFileError, SettingError
from resale.money import Money
from resale.services.actor import at_the_machine
from resale.services.backup.take_away import carry_copy_out, keep_copy
from resale.storage.backup.catalogue import copies_folder
from resale.storage.backup.manifest import CopyManifest
from resale.storage.backup.restore import restore_backup
from resale.storage.backup.server_restore import restore_to_server
from resale.storage.backup.verify import check_archive
from resale.storage.db.disk_faults import disk_faults_said


def _that_is_there(_: click.Context, __: click.Parameter, place: Path | None) -> Path | None:
    """Refuse a folder that is not there: a stick that is not in would be made on this disk."""
    if place is None or place.is_dir():
        return place
    raise ItemFileError(
        "there is no such folder",
        where=str(place),
        remedy="look at its name, and whether the disk is in, or make the folder first",
    )


@click.command(short_help="Keep a copy of the whole shop.")
@click.option(
    "--to",
    "place",
    type=PATH,
    callback=_that_is_there,
    help="Folder for the copy; the shop's own if left out.",
)
@click.option(
    "--copy",
    type=PATH,
    help="Write this copy of a day out as one file, instead of keeping one of now.",
)
@FOLDER
def keep(place: Path | None, copy: Path | None, folder: Path | None) -> None:
    """Keep a copy of the shop in one file: records, prices, rule book, photographs, settings.

    The shop may be open, and go on saving. The file can be carried to another machine.
    """
    settings = read_settings(folder)
    now = datetime.now().astimezone()
    with open_ledger(settings) as records:
        where, who = place or copies_folder(settings), at_the_machine()
        if copy is None:
            made = keep_copy(records, settings, who, where, now, _step)
            path, manifest = made.path, made.manifest
        else:
            path, manifest = carry_copy_out(records, settings, who, copy, where, now)
    click.echo(f"Kept as {path}: {_carried(manifest, settings)}.")
    with disk_faults_said(), path.open("rb") as file:
        click.echo(f"SHA-256 {hashlib.file_digest(file, 'sha256').hexdigest()}")


@click.command("bring-back", short_help="Bring a copy of a shop back.")
@click.argument("copy", type=PATH)
@click.option("--check", "only_check", is_flag=True, help="Only read it through.")
@FOLDER
def bring_copy_back(copy: Path, only_check: bool, folder: Path | None) -> None:
    """Bring COPY, which 'resale keep' or a day made, back into the shop's folder.

    It is read through first. A shop that stands there is set aside, never removed; close its
    screens before. A copy of records on a server goes back to the server that the settings name.
    """
    # Where a folder is named, its settings are not read: they may be what has to be mended.
    place = folder or read_settings().data_folder
    if only_check:
        with disk_faults_said():
            manifest = check_archive(copy)
        click.echo(f"{copy} is whole: {_carried(manifest)}.")
        return
    now, there = datetime.now().astimezone(), _on_server(place)
    back = restore_to_server(copy, there, now) if there else restore_backup(copy, place, now)
    if back.set_aside is not None:
        click.echo(f"What stood there is now in {back.set_aside}")
    click.echo(f"Brought back into {back.folder}: {_carried(back.manifest)}.")


def _on_server(place: Path) -> Settings | None:
    """Settings of a shop that keeps its records on a server; None of one that does not."""
    try:
        settings = read_settings(place)
    except SettingError:
        # They may be what has to be mended, and a copy mends them.
        return None
    return settings if settings.records_url.get_secret_value() else None


def _carried(manifest: CopyManifest, settings: Settings | None = None) -> str:
    """Say what a copy carries, with the sums that it is checked by."""
    locale = settings.locale if settings else "en_IE"
    counts = manifest.counts
    parts = [
        f"{counts.get('item', 0):,} items",
        f"{counts.get('valuation', 0):,} valuations",
        f"{counts.get('event', 0):,} events",
        *(f"sold {Money(code, locale).show(sum_)}" for code, sum_ in manifest.sold.items() if code),
        f"{len(manifest.files):,} files",
    ]
    return ", ".join(parts)


def _step(done: int, of: int, words: str) -> None:
    if done < of:
        click.echo(f"{words} ...", err=True)
