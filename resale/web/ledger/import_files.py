"""Files of past sales that were brought and are being looked at, and what was said of each."""

from __future__ import annotations

import hashlib
import json
import re
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from resale.errors import ItemFileError, ResaleError
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.matching.column_matcher import expected_headings, propose
from resale.storage.imports.matching.column_memory import remembered
from resale.storage.imports.matching.match_cells import Match
from resale.storage.imports.past.past_sales import DryRun, dry_run
from resale.storage.imports.tables.encodings import CHOICES
from resale.storage.imports.tables.table_files import table_from_bytes
from resale.web.core.shop import Shop

FOLDER = "brought"
KEPT_SECONDS = 7 * 24 * 3600
TAKEN = frozenset({"known", "odd"})
COLUMN, WORD = "c-", "w-"
_DIGEST = re.compile(r"[0-9a-f]{64}")
# How a field is named that explains a word in a column: w-hole:tiny.
_SIGN = ":"


class NotBroughtError(ResaleError):
    """No such file is being looked at."""


@dataclass(frozen=True)
class Brought:
    """A file that was brought.

    Attributes
    ----------
    told : Told
        What the user said of it so far.
    """

    digest: str
    name: str
    content: bytes
    told: Told


@dataclass(frozen=True)
class Tried:
    """A file as it was tried.

    Attributes
    ----------
    run : DryRun or None
        None where the file as a whole cannot be read as it stands; `trouble` says why.
    """

    brought: Brought
    matches: tuple[Match, ...]
    run: DryRun | None
    trouble: str


def store_file(folder: Path, name: str, content: bytes) -> str:
    """Keep a file until it is loaded; the same file is kept once.

    Parameters
    ----------
    folder : Path
        The shop's.
    name : str
        Of the file, as it was brought.
    content : bytes

    Returns
    -------
    str
        SHA-256 of the content, in hex, by which it is found again.
    """
    digest = hashlib.sha256(content).hexdigest()
    place = folder / FOLDER
    place.mkdir(exist_ok=True)
    _sweep(place)
    (place / digest).write_bytes(content)
    path = place / f"{digest}.json"
    if not path.exists():
        write_told(folder, digest, name, Told())
    return digest


def _sweep(place: Path) -> None:
    """Remove what nobody came back to; a loaded file's rows are in the records."""
    too_old = time.time() - KEPT_SECONDS
    for path in place.iterdir():
        if path.stat().st_mtime < too_old:
            path.unlink(missing_ok=True)


def write_told(folder: Path, digest: str, name: str, told: Told) -> None:
    """Keep what was said of a file.

    Parameters
    ----------
    folder : Path
        The shop's.
    digest : str
        By which the file is found.
    name : str
        Of the file, as it was brought.
    told : Told
        What the user said of it.
    """
    plain = {
        "name": name,
        "columns": dict(told.columns),
        "words": [[*place, means] for place, means in told.words.items()],
        "first": told.first,
        "decimal": told.decimal,
        "codec": told.codec,
        "once": told.once,
        "take": sorted(told.take),
    }
    path = folder / FOLDER / f"{digest}.json"
    path.write_text(json.dumps(plain, ensure_ascii=False), encoding="utf-8")


def brought_file(folder: Path, digest: str) -> Brought:
    """Find a file that was brought.

    Parameters
    ----------
    folder : Path
        The shop's.
    digest : str
        By which the file is found.

    Raises
    ------
    NotBroughtError
    """
    place = folder / FOLDER / digest
    if not _DIGEST.fullmatch(digest) or not place.is_file():
        raise NotBroughtError("this file is not here any more", remedy="bring it again")
    plain = json.loads(place.with_name(f"{digest}.json").read_text(encoding="utf-8"))
    words = {(column, word): means for column, word, means in plain["words"]}
    told = Told(
        plain["columns"],
        words,
        plain["first"],
        plain["decimal"],
        plain.get("codec"),
        plain.get("once", False),
        frozenset(plain.get("take", ())),
    )
    return Brought(digest, plain["name"], place.read_bytes(), told)


def told_from_form(form: Mapping[str, str], before: Told) -> Told:
    """Add what the form says to what was said before.

    Parameters
    ----------
    form : mapping of str to str
        Columns, words, and how days and amounts are written.
    before : Told
        What was said before.
    """
    if "take" in form:
        return replace(before, take=before.take | ({form["take"]} & TAKEN))
    if "equal" in form:
        return replace(before, once=form["equal"] == "once")
    said = {key[2:]: value for key, value in form.items() if key.startswith(COLUMN)}
    columns = {heading: column for heading, column in said.items() if column != "?"}
    chosen = {key[2:]: value for key, value in form.items() if key.startswith(WORD)}
    words = dict(before.words)
    for place, means in chosen.items():
        column, _, word = place.partition(_SIGN)
        if means != "?":
            words[column, word] = "" if means == "-" else means
    first, decimal = form.get("first", ""), form.get("decimal", "")
    return Told(
        columns,
        words,
        "day" if first == "day" else "month" if first == "month" else None,
        "," if decimal == "," else "." if decimal == "." else None,
        form["codec"] if form.get("codec") in CHOICES else None,
        before.once,
        before.take,
    )


def try_file(shop: Shop, brought: Brought) -> Tried:
    """Read a file without writing anything; where it fails, say what its columns may be.

    Parameters
    ----------
    shop : Shop
    brought : Brought
        The file, with what was said of it.
    """
    try:
        run = dry_run(
            shop.records,
            brought.content,
            brought.name,
            shop.changed,
            shop.settings,
            shop.here().date(),
            brought.told,
        )
    except ItemFileError as fault:
        return Tried(brought, _matches(shop, brought), None, fault.sentence)
    return Tried(brought, tuple(one.match for one in run.columns), run, "")


def _matches(shop: Shop, brought: Brought) -> tuple[Match, ...]:
    """What the columns are taken for, without what the user said wrongly."""
    try:
        headings = expected_headings(shop.changed)
        table = table_from_bytes(brought.content, brought.name, headings, brought.told.codec)
        known = remembered(shop.records)
    except ItemFileError:
        return ()
    try:
        return propose(table, shop.changed, known, brought.told.columns)
    except ItemFileError:
        return propose(table, shop.changed, known)
