"""Settings that somebody changes: the file, and the line of who, when, from what and to what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine

from resale.config.fields import meaning_of
from resale.config.file import changed_text, write_whole
from resale.config.settings import FILE_NAME, Settings, checked
from resale.config.text_forms import as_text
from resale.errors import SettingError
from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.settlement.agreed_shares import agree_missing
from resale.storage.settlement.item_postings import post_item

ACTION = "changed a setting"


@dataclass(frozen=True)
class Changed:
    """One setting before and after, as a form shows it."""

    name: str
    before: str
    after: str


def try_settings(settings: Settings, values: Mapping[str, Any]) -> tuple[Settings, list[Changed]]:
    """Say what settings would be with other values, and write nothing.

    Parameters
    ----------
    settings : Settings
        As they are now.
    values : mapping
        New values by name, as the file would have them.

    Returns
    -------
    (Settings, list of Changed)

    Raises
    ------
    SettingError
        If a value is one that its setting cannot take, or the setting is the file's alone.
    """
    after = settings
    for name, value in values.items():
        if name in Settings.model_fields and not meaning_of(Settings.model_fields[name]).on_screen:
            raise SettingError(
                f"{name} is set in {FILE_NAME} or in the environment alone",
                remedy="close the shop, write it there, and open the shop again",
            )
        after = checked(name, value, after)
    lines = [
        Changed(name, as_text(getattr(settings, name)), as_text(getattr(after, name)))
        for name in values
    ]
    return after, [line for line in lines if line.before != line.after]


def change_settings(
    records: Engine, settings: Settings, actor: Actor, values: Mapping[str, Any], at: datetime
) -> tuple[Settings, list[Changed]]:
    """Write settings into the shop's file, and a line for each into the audit log: all or nothing.

    Parameters
    ----------
    records : Engine
    settings : Settings
        As they are now.
    actor : Actor
        Who does it.
    values : mapping
        New values by name, as the file would have them.
    at : datetime
        Now.

    Returns
    -------
    (Settings, list of Changed)
        As they are from now on, and what that changed.

    Raises
    ------
    SettingError
        As `try_settings`; or if the file was changed by other hands so that it cannot be read.
    OSError
        If the file cannot be written; nothing is changed then.
    """
    after, lines = try_settings(settings, values)
    if not lines:
        return after, lines
    path = settings.data_folder / FILE_NAME
    before = _text(path)
    text = changed_text(before or "", {line.name: values[line.name] for line in lines})
    try:
        with transaction(records, actor, at) as work:
            if any(line.name == "consignor_share" for line in lines):
                # Whoever has no share of their own yet brought things under the one of before.
                for item in agree_missing(work.session, settings.consignor_share):
                    post_item(work.session, item, at, actor.name)
            for line in lines:
                work.log(ACTION, line.name, before=line.before, after=line.after)
            work.session.flush()
            # Last, so that a file never says what nobody is known to have done.
            write_whole(path, text)
    except BaseException:
        _put_back(path, before)
        raise
    return after, lines


def _text(path: Path) -> str | None:
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return None


def _put_back(path: Path, text: str | None) -> None:
    """Let the file be as it was before."""
    if text is None:
        path.unlink(missing_ok=True)
    elif _text(path) != text:
        write_whole(path, text)
