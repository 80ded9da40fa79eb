"""Opening a copy that is one zip."""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from resale.storage.backup.manifest import (
    MANIFEST,
    UNREADABLE,
    CopyManifest,
    altered,
    read_manifest,
)
from resale.storage.backup.open_copy import OpenCopy
from resale.storage.db.disk_faults import disk_fault

AT_ONCE = 1 << 20


@contextmanager
def open_zip(path: Path) -> Iterator[OpenCopy]:
    """Open a copy that is one zip, and see that it holds what it says and nothing else.

    Raises
    ------
    CopyError
        If it was altered, or comes from a later version of the program.
    """
    try:
        archive = zipfile.ZipFile(path)
    except UNREADABLE as fault:
        if disk_fault(fault) is not None:
            raise
        raise altered(path.name, "it is no whole zip") from None
    with archive:
        manifest = read_manifest(archive, path.name)
        _check_names(archive, manifest, path.name)

        def parts_of(name: str) -> Iterator[bytes]:
            left = manifest.files[name].size
            try:
                with archive.open(name) as file:
                    # One byte more than was sealed is enough to know that it is another.
                    while part := file.read(min(AT_ONCE, left + 1)):
                        left -= len(part)
                        yield part
            except UNREADABLE as fault:
                if disk_fault(fault) is not None:
                    raise
                raise altered(path.name, f"{name} cannot be read") from None

        yield OpenCopy(path.name, manifest, parts_of)


def _check_names(archive: zipfile.ZipFile, manifest: CopyManifest, copy: str) -> None:
    names = Counter(entry.filename for entry in archive.infolist())
    twice = next((name for name, times in names.items() if times > 1), None)
    if twice:
        raise altered(copy, f"{twice[:60]} is in it twice")
    for name in manifest.files:
        if name not in names:
            raise altered(copy, f"{name[:60]} is missing")
    strange = set(names) - set(manifest.files) - {MANIFEST}
    if strange:
        raise altered(copy, f"{min(strange)[:60]} does not belong in it")
