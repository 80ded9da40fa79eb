"""Files of a shop are its owner's alone: the folder 0700, what lies in it 0600."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

FOLDER_MODE, FILE_MODE = 0o700, 0o600
OTHERS = 0o077


def keep_new_files_private() -> None:
    """Let this process make nothing that others on the machine may read."""
    os.umask(OTHERS)


def private_folder(folder: Path) -> None:
    """Make a shop's folder, or shut it to others with all that lies in it.

    A folder of somebody else's, on a drive that knows no modes, stays as it is.
    """
    folder.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
    if not folder.stat().st_mode & OTHERS:
        return
    with suppress(PermissionError, NotImplementedError):
        for path in folder.rglob("*"):
            if not path.is_symlink():
                path.chmod(FOLDER_MODE if path.is_dir() else FILE_MODE)
        # Last: a folder that is shut was gone through to the end.
        folder.chmod(FOLDER_MODE)
