"""The command of settings: show them, explain one, try or write another value."""

from __future__ import annotations

import os
import tomllib
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from resale.cli.console import FOLDER
from resale.cli.sales import open_ledger
from resale.config.reference import SettingRow, grouped, reference_page, settings_table
from resale.config.settings import (
    FILE_NAME,
    PREFIX,
    Settings,
    choices_of,
    named_in,
    read_settings,
    shape_of,
)
from resale.config.text_forms import as_text, from_text
from resale.errors import SettingError
from resale.services.actor import at_the_machine
from resale.services.settings.change_settings import Changed, change_settings, try_settings

SECRET = "records_url"  # noqa: S105 - the name of a setting, not its value


@click.command("settings", short_help="Show the settings, explain one, or change it.")
@click.argument("name", required=False)
@click.argument("value", required=False)
@click.option("--try", "tries", is_flag=True, help="Only say what VALUE would change.")
@click.option("--reference", is_flag=True, help="Print every setting as a page of Markdown.")
@FOLDER
def settings(
    name: str | None, value: str | None, tries: bool, reference: bool, folder: Path | None
) -> None:
    """Show the settings of the shop; explain NAME; or write VALUE for it into the shop's file.

    Lists and tables are written as in the file: resale settings habit '[0, 0.3, 0.6]'. A shop that
    is open follows when it is opened again.
    """
    if reference:
        click.echo(reference_page(), nl=False)
        return
    now = read_settings(folder)
    if name is None:
        for _, heading, rows in grouped():
            click.echo(f"\n{heading}")
            for row in rows:
                click.echo(f"  {row.name} = {_shown(row, now)}{_source(row, now)}")
        return
    row = _row(name)
    if value is None:
        click.echo("\n".join(_explained(row, now)))
        return
    values = {name: _read(name, value)}
    if tries:
        _tell(try_settings(now, values)[1], "would be")
        return
    if name in named_in(os.environ):
        raise SettingError(
            f"{name} is set by {PREFIX}{name.upper()} in the environment, which goes before the "
            "file",
            remedy="change it there",
        )
    with open_ledger(now) as records:
        changed = change_settings(records, now, at_the_machine(), values, datetime.now(UTC))[1]
    _tell(changed, "is now")


def _row(name: str) -> SettingRow:
    for row in settings_table():
        if row.name == name:
            return row
    known = ", ".join(Settings.model_fields)
    raise SettingError(f"{name[:40]} is not a setting", remedy=f"use one of {known}")


def _shown(row: SettingRow, now: Settings) -> str:
    value = getattr(now, row.name)
    if row.name == SECRET:
        return "set, and not shown" if value.get_secret_value() else "empty"
    return as_text(value).replace("\n", "; ") or "empty"


def _source(row: SettingRow, now: Settings) -> str:
    unit = f" {row.unit}" if row.unit else ""
    if row.name in named_in(os.environ):
        return f"{unit} (by {PREFIX}{row.name.upper()})"
    is_default = getattr(now, row.name) == Settings.model_fields[row.name].default
    return unit if is_default else f"{unit} (where nobody set it: {row.default or 'empty'})"


def _explained(row: SettingRow, now: Settings) -> list[str]:
    takes = " or ".join(choices_of(row.name)) or shape_of(row.name)
    return [
        f"{row.name} = {_shown(row, now)}{_source(row, now)}",
        row.sentence,
        f"Takes: {takes}{f', {row.unit}' if row.unit else ''}.",
        f"A change moves: {row.changes}",
        f"Set it {'on the screen, here, or' if row.on_screen else 'only'} in {FILE_NAME} or as "
        f"{PREFIX}{row.name.upper()}.",
    ]


def _read(name: str, text: str) -> Any:
    """Read a value: lists and tables as in the file, all else as it is typed."""
    if shape_of(name) not in {"list", "table"}:
        return from_text(name, text)
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return from_text(name, text)


def _tell(changed: list[Changed], verb: str) -> None:
    for line in changed:
        before, after = (one.replace("\n", "; ") or "empty" for one in (line.before, line.after))
        click.echo(f"{line.name} {verb} {after}; it was {before}.")
    if not changed:
        click.echo("That is what it is already.")
