"""The table of settings as text: for the command line, and as the page that the README links."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from resale.config.fields import meaning_of
from resale.config.prices import TicketStep
from resale.config.settings import FILE_NAME, GROUPS, PREFIX, choices_of, shape_of


@dataclass(frozen=True)
class SettingRow:
    """One row of the table of settings, as text."""

    name: str
    group: str
    shape: str
    default: str
    unit: str
    sentence: str
    changes: str
    moves_prices: bool
    on_screen: bool


def settings_table() -> list[SettingRow]:
    """Give the table of settings, in the order of its groups."""
    return [row for _, _, rows in grouped() for row in rows]


def grouped() -> Iterator[tuple[str, str, list[SettingRow]]]:
    """Give each group: its id, heading and rows."""
    shown: set[str] = set()
    for group, (heading, settings) in GROUPS.items():
        # A group may build on another, such as prices on money: each setting is shown once.
        names = [name for name in settings.model_fields if name not in shown]
        shown.update(names)
        yield group, heading, [_row(name, group, settings) for name in names]


def _row(name: str, group: str, settings: type[BaseModel]) -> SettingRow:
    field = settings.model_fields[name]
    meaning = meaning_of(field)
    return SettingRow(
        name,
        group,
        " or ".join(choices_of(name)) or shape_of(name),
        "the user's own data folder" if name == "data_folder" else in_toml(field.default),
        meaning.unit,
        str(field.description),
        meaning.changes,
        meaning.moves_prices,
        meaning.on_screen,
    )


def in_toml(value: Any) -> str:
    """Write a value as the file has it; an empty text where there is none, or it is a secret."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value
    if isinstance(value, TicketStep):
        return f"{{under = {value.under:g}, step = {value.step:g}}}"
    if isinstance(value, tuple | list):
        return f"[{', '.join(map(in_toml, value))}]"
    if isinstance(value, dict):
        inside = ", ".join(f"{name} = {in_toml(one)}" for name, one in value.items())
        return f"{{{inside}}}"
    return f"{value:g}" if isinstance(value, float) else "" if value is None else _plain(value)


def _plain(value: Any) -> str:
    return "" if hasattr(value, "get_secret_value") else str(value)


_HEAD = f"""# Settings

Written by `resale settings --reference`; a test sees that it is up to date.

A setting stands in `{FILE_NAME}` in the shop's folder. An environment variable of its name in
capitals after `{PREFIX}` (`{PREFIX}WAGE=26`) goes before the file. The owner changes most of them
on the screen (*your name → Settings*), or by `resale settings wage 26`; both write the file, leave
its other lines as they are, and put who, when, the old value and the new one into *Who did what*.
Those marked *file alone* are set there or in the environment, because a slip would shut the shop
out of its own records. `resale settings` shows all of them as they are now.
"""


def reference_page() -> str:
    """Write every setting as a page of Markdown."""
    parts = [_HEAD]
    for _, heading, rows in grouped():
        parts.append(f"\n## {heading}\n\n| setting | value | default | meaning | what it changes |")
        parts.append("|---|---|---|---|---|")
        parts.extend(map(_line, rows))
    return "\n".join(parts) + "\n"


def _line(row: SettingRow) -> str:
    value = f"{row.shape}, {row.unit}" if row.unit else row.shape
    alone = "" if row.on_screen else " *File alone.*"
    shown = f"`{row.default}`" if row.default and row.name != "data_folder" else row.default
    return f"| `{row.name}` | {value} | {shown} | {row.sentence} | {row.changes}{alone} |"
