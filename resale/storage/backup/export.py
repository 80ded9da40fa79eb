"""Everything in the records taken out to open formats: one zip of CSV files with a manifest."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from resale import __version__
from resale.config.settings import Settings
from resale.errors import ResaleError
from resale.garments.rulebook.overlay import overlay_text
from resale.storage.backup.export_tables import Cells, as_json, tables_of
from resale.storage.backup.whole_tables import photo_files, whole_tables
from resale.storage.db.shared_files import fetch
from resale.storage.imports.tables.table_files import write_rows
from resale.storage.models.book_archive import BOOKS
from resale.storage.models.model_files import MANIFEST
from resale.storage.models.model_runs import MODELS, fitted_models, model_at_hand
from resale.storage.models.rule_changes import FILE_NAME as RULES
from resale.storage.models.rule_changes import overlay_of
from resale.whole_file import whole_file

FORMAT = 1
SETTINGS = "settings.json"
_ABOUT = {
    "items.csv": "a line for each item",
    "events.csv": "what happened, as written, corrections among them; money in minor units",
    "holds.csv": "holds that were raised and cleared, as written",
    "valuations.csv": "a line for each valuation; money in minor units",
    "shares.csv": "a line for each sign of each valuation: what it was worth, in minor units",
    "answers.csv": "a line for each answer given in a valuation, and each text as typed",
    "files.csv": "files of past sales that were loaded",
    "words.csv": "what headings and words in such files mean",
    "models.csv": "models fitted to the ledger",
    SETTINGS: "every setting of the shop, as JSON",
    RULES: "what the shop changed in the rule book, oldest first, as TOML",
    "photos.csv": "a line for each photo; the files lie in photos",
    "stock.csv": "what stands in the shop, as resale stock reads it",
    "past.csv": "what sold and stayed sold, as resale bring reads it",
    "consignors.csv": "consignors, as resale consignors reads them",
}


class NotTakenOutError(ResaleError):
    """The records cannot be written where they should go."""


@dataclass(frozen=True)
class TakenOut:
    """What was written.

    Attributes
    ----------
    counts : dict of str to int
        Rows of each file, without the heading.
    """

    path: Path
    counts: dict[str, int]


def take_out(engine: Engine, settings: Settings, folder: Path, at: datetime) -> TakenOut:
    """Write all records into a zip in a folder.

    Text that a spreadsheet would take for a formula is guarded by an apostrophe.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    settings : Settings
    folder : Path
        Where the zip goes; it may lie on a stick.
    at : datetime
        Now, with its zone.

    Returns
    -------
    TakenOut
        The file, and how many rows of each table are in it.

    Raises
    ------
    NotTakenOutError
        If the folder cannot be written to.
    """
    path = folder / f"records-{at:%Y-%m-%d-%H%M%S}.zip"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with whole_file(path) as draft, draft.open("wb") as file:
            counts = write_records(engine, settings, file, at)
    except OSError as fault:
        raise NotTakenOutError(
            f"the records cannot be written there ({fault.strerror})",
            where=str(folder),
            remedy="name a folder that you may write to",
        ) from None
    return TakenOut(path, counts)


def write_records(engine: Engine, settings: Settings, stream: Any, at: datetime) -> dict[str, int]:
    """Write all records as a zip into a binary stream, all as they were at one moment.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    settings : Settings
    stream : binary stream
        Open for writing.
    at : datetime
        Now, with its zone.

    Returns
    -------
    dict of str to int
        Rows in each file of the zip.
    """
    counts: dict[str, int] = {}
    digests: dict[str, str] = {}
    with Session(engine) as session, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, rows in tables_of(session, engine, settings).items():
            counts[name], digests[name] = _write(archive, name, rows)
        for name, content in _manifests(settings):
            archive.writestr(name, content)
            digests[name] = hashlib.sha256(content).hexdigest()
        rules = overlay_text(overlay_of(engine, settings.data_folder)).encode()
        for name, content in ((RULES, rules), (SETTINGS, _settings(settings).encode())):
            archive.writestr(name, content)
            digests[name] = hashlib.sha256(content).hexdigest()
        for name, lines in whole_tables(session):
            counts[name], digests[name] = _write_lines(archive, name, lines)
        for name, path in _files(engine, settings, session):
            archive.write(path, name, zipfile.ZIP_STORED)
            digests[name] = hashlib.sha256(path.read_bytes()).hexdigest()
        manifest = {
            "format": FORMAT,
            "program": f"resale {__version__}",
            "written_at": at.astimezone(UTC).isoformat(timespec="seconds"),
            "shop": settings.name,
            "invented": settings.invented,
            "currency": settings.currency,
            "decimals": settings.money.decimals,
            "encoding": "CSV in UTF-8 with commas; times in universal time",
            "guard": "an apostrophe before text that begins with =, +, - or @",
            "files": [
                {
                    "name": name,
                    "about": _ABOUT.get(name, ""),
                    "rows": counts.get(name),
                    "sha256": digest,
                }
                for name, digest in digests.items()
            ],
        }
        archive.writestr("manifest.json", as_json(manifest, indent=2))
    return counts


def _write(archive: zipfile.ZipFile, name: str, rows: Cells) -> tuple[int, str]:
    """Write one file row by row, so that memory stays small."""
    digest, count = hashlib.sha256(), -1
    with archive.open(name, "w", force_zip64=True) as file:
        for row in rows:
            count += 1
            line = io.StringIO()
            write_rows(line, [row])
            content = line.getvalue().encode()
            digest.update(content)
            file.write(content)
    return count, digest.hexdigest()


def _write_lines(archive: zipfile.ZipFile, name: str, lines: Iterable[str]) -> tuple[int, str]:
    digest, count = hashlib.sha256(), 0
    with archive.open(name, "w", force_zip64=True) as file:
        for count, line in enumerate(lines, start=1):  # noqa: B007 - the last is how many
            content = line.encode()
            digest.update(content)
            file.write(content)
    return count, digest.hexdigest()


def _settings(settings: Settings) -> str:
    """Every setting as JSON, but where the records lie, which may hold a password."""
    return settings.model_dump_json(indent=2, exclude={"records_url", "data_folder"})


def _files(engine: Engine, settings: Settings, session: Session) -> Iterator[tuple[str, Path]]:
    """Photos, kept books and the models of the ledger, whichever machine has them."""
    folder = settings.data_folder
    for name in photo_files(session):
        if fetch(engine, folder, name):
            yield name, folder / name
    for path in sorted((folder / BOOKS).glob("*.json")):
        yield path.relative_to(folder).as_posix(), path
    for model in fitted_models(engine, settings):
        for path in sorted(model_at_hand(engine, settings, model.model_id).glob("*")):
            yield path.relative_to(folder).as_posix(), path


def _manifests(settings: Settings) -> Iterator[tuple[str, bytes]]:
    """What is said of every model that is kept."""
    for path in sorted((settings.data_folder / MODELS).glob(f"*/{MANIFEST}")):
        yield f"models/{path.parent.name}.json", path.read_bytes()
