"""A copy in pieces written out as one file, to be carried away."""

from __future__ import annotations

from pathlib import Path
from typing import IO

from resale.storage.backup.manifest import FORMAT, FORMAT_ON_SERVER
from resale.storage.backup.verify import opened
from resale.storage.backup.zip_packing import ZipPacking
from resale.storage.db.disk_faults import disk_faults_said


def write_whole(path: Path, target: Path | IO[bytes]) -> None:
    """Write a copy as one zip, as if it had been made by hand on its day.

    Parameters
    ----------
    path : Path
        The copy, with its pieces beside it.
    target : Path or binary file
        Written to.

    Raises
    ------
    CopyError
        If the copy was altered, or made by a later version.
    DiskError
        If there is no room for it.
    """
    with disk_faults_said(), opened(path) as copy:
        packing = ZipPacking(target)
        try:
            for name in copy.manifest.files:
                packing.copy(name, copy)
            form = FORMAT_ON_SERVER if copy.manifest.shop_key else FORMAT
            packing.end(copy.manifest.model_copy(update={"format": form}))
        finally:
            packing.give_up()
