"""A copy takes a shop's place by two renames; broken off between them, it is finished later.

Beside the folder lies a note of what is to change places, written before the first rename and taken
away after the second. Whoever opens the shop next reads it and does what is left.
"""

from __future__ import annotations

import json
import shutil
from contextlib import suppress
from pathlib import Path

from resale.whole_file import whole_file


def note_of(folder: Path) -> Path:
    """Where the note about a folder lies."""
    return folder.with_name(f".{folder.name}-change-of-places.json")


def write_note(folder: Path, stage: Path, aside: Path, carried: str) -> None:
    """Say what is about to change places; on the disk before anything is renamed.

    Parameters
    ----------
    folder, stage, aside : Path
        The shop, what is to take its place, and where it will stand; all in one folder.
    carried : str
        Name of a folder in the shop that goes on lying in it.
    """
    note = note_of(folder)
    said = {"stage": stage.name, "aside": aside.name, "carried": carried}
    with whole_file(note) as draft:
        draft.write_text(json.dumps(said), encoding="utf-8")


def finish_change_of_places(folder: Path) -> None:
    """Finish what a kill or a power cut broke off; do nothing where nothing was."""
    folder = folder.resolve()
    note = note_of(folder)
    if not note.is_file():
        return
    try:
        pending = json.loads(note.read_text(encoding="utf-8"))
        stage, aside = folder.with_name(pending["stage"]), folder.with_name(pending["aside"])
        carried = pending["carried"]
    except (ValueError, KeyError, TypeError):
        return
    if not folder.exists():
        if stage.is_dir():
            # The copy was checked whole before the first rename.
            stage.replace(folder)
        elif aside.is_dir():
            aside.replace(folder)
    elif not aside.exists():
        # Nothing had been moved: the shop stands as it stood, and the copy can be brought again.
        shutil.rmtree(stage, ignore_errors=True)
    carry(carried, aside, folder)
    with suppress(FileNotFoundError):
        note.unlink()


def carry(name: str, aside: Path, folder: Path) -> None:
    """Let a folder of the shop that was set aside go on lying in the shop.

    Parameters
    ----------
    name : str
        Of the folder, within the shop.
    aside : Path
        Where the shop of before was set aside.
    folder : Path
        Where the shop lies now; a folder of this name that it has is left alone.
    """
    if (aside / name).is_dir() and folder.is_dir() and not (folder / name).exists():
        (aside / name).replace(folder / name)
