"""Writing a copy as one zip: opened anywhere, by any program that knows zip."""

from __future__ import annotations

import hashlib
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import IO

from resale.storage.backup.manifest import (
    MANIFEST,
    CopyManifest,
    FileSeal,
)
from resale.storage.backup.open_copy import OpenCopy
from resale.storage.backup.pieces.cutting import is_packed

AT_ONCE = 1 << 20


class ZipPacking:
    """The files of a shop packed into a zip.

    Parameters
    ----------
    archive : Path or binary file
        Written anew.
    """

    def __init__(self, archive: Path | IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED)

    def add(self, name: str, path: Path) -> FileSeal:
        """Pack a file.

        Parameters
        ----------
        name : str
            Within the copy.
        path : Path
            Where it lies.
        """
        entry = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
        with path.open("rb") as file:
            return self._write(entry, iter(lambda: file.read(AT_ONCE), b""))

    def copy(self, name: str, copy: OpenCopy) -> None:
        """Pack a file of another copy; what is not what was sealed ends it.

        Parameters
        ----------
        name : str
            Within both.
        copy : OpenCopy
            The other.
        """
        entry = zipfile.ZipInfo(name, copy.manifest.made_at.timetuple()[:6])
        self._write(entry, copy.parts(name))

    def end(self, manifest: CopyManifest) -> None:
        """Say what is in it, and close it."""
        said = manifest.model_dump_json(indent=2, exclude={"added"})
        self._zip.writestr(MANIFEST, said)
        self._zip.close()

    def give_up(self) -> None:
        """Close what will be thrown away."""
        self._zip.close()

    def _write(self, entry: zipfile.ZipInfo, parts: Iterable[bytes]) -> FileSeal:
        whole = is_packed(entry.filename)
        entry.compress_type = zipfile.ZIP_STORED if whole else zipfile.ZIP_DEFLATED
        digest, size = hashlib.sha256(), 0
        with self._zip.open(entry, "w", force_zip64=True) as out:
            for part in parts:
                digest.update(part)
                size += len(part)
                out.write(part)
        return FileSeal(sha256=digest.hexdigest(), size=size)
