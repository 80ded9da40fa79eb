"""The file of settings, changed in one place: every other line of it stays as somebody wrote it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from resale.errors import SettingError
from resale.whole_file import whole_file


def changed_text(text: str, values: Mapping[str, Any]) -> str:
    """Write values into the text of a file of settings, and leave the rest to the letter.

    Parameters
    ----------
    text : str
        The file as it is; may be empty.
    values : mapping
        New values by the name of the setting, as the file would have them.

    Returns
    -------
    str

    Raises
    ------
    SettingError
        If the file is not TOML.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as fault:
        raise SettingError(f"the file is not TOML ({fault})", remedy="mend that line") from None
    before = tomllib.loads(text)
    for name, value in values.items():
        document[name] = _item(value)
    written = document.as_string()
    # What is read back has to be what was meant, whatever the file looked like before.
    if tomllib.loads(written) != {**before, **values}:
        raise SettingError(
            "the file is laid out so that a setting cannot be changed in it",
            remedy="write each setting on a line of its own, before any [table]",
        )
    return written


def _item(value: Any) -> Any:
    """Write tables within one line, so that they can stand before any heading."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        array.extend([_item(one) for one in value])
        return array
    return tomlkit.item(value)


def write_whole(path: Path, text: str) -> None:
    """Put a text in the place of a file at once: a reader, or a crash, meets the old or the new.

    Parameters
    ----------
    path : Path
    text : str

    Raises
    ------
    OSError
        If the folder cannot be written to; the file is then as it was.
    """
    with whole_file(path) as draft:
        draft.touch(0o600)
        draft.write_text(text, encoding="utf-8")
        if path.exists():
            draft.chmod(path.stat().st_mode)
