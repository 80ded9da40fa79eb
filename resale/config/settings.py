"""The shop's settings: one table of name, default, unit and meaning, a class for each group.

A setting is taken from `shop.toml` in the data folder; an environment variable ``RESALE_NAME``
goes before it, and what the program is started with goes before both.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ConfigDict, SecretStr, ValidationError

from resale.config.backup import BackupSettings
from resale.config.chain import ChainSettings
from resale.config.change_of_places import finish_change_of_places
from resale.config.network import NetworkSettings
from resale.config.photos import PhotoSettings
from resale.config.prices import PriceSettings, ValuationSettings
from resale.config.records import RecordsSettings
from resale.config.selling import RailSettings, SellingSettings
from resale.config.shop import ShopSettings
from resale.config.training import TrainingSettings
from resale.errors import SettingError

FILE_NAME = "shop.toml"
PREFIX = "RESALE_"


class Settings(
    ValuationSettings,
    RailSettings,
    SellingSettings,
    TrainingSettings,
    PhotoSettings,
    BackupSettings,
    NetworkSettings,
    RecordsSettings,
    ChainSettings,
):
    """Every setting of a shop; the classes above are the table."""

    model_config = ConfigDict(extra="forbid", frozen=True)


GROUPS: dict[str, tuple[str, type[BaseModel]]] = {
    "shop": ("The shop", ShopSettings),
    "prices": ("Prices", PriceSettings),
    "selling": ("Sales, marks and shares", SellingSettings),
    "rail": ("Rail and tickets", RailSettings),
    "training": ("Second looks and working alone", TrainingSettings),
    "photos": ("Photos", PhotoSettings),
    "backup": ("Copies of the shop", BackupSettings),
    "network": ("The way in", NetworkSettings),
    "records": ("Where the records lie", RecordsSettings),
    "chain": ("The chain", ChainSettings),
}
"""Groups as they are shown: by a short id, the heading and the settings."""


def read_settings(
    folder: Path | None = None, *, environment: Mapping[str, str] | None = None, **given: Any
) -> Settings:
    """Read the settings of the shop whose records lie in a folder.

    Parameters
    ----------
    folder : Path, optional
        The data folder; else RESALE_DATA_FOLDER, else the user's own data folder.
    environment : mapping, optional
        The process's own where omitted.
    **given
        Settings that go before file and environment.

    Returns
    -------
    Settings

    Raises
    ------
    SettingError
        Naming the first setting with a value that it cannot take, and where it stands.
    """
    named = named_in(os.environ if environment is None else environment)
    default: Path = Settings.model_fields["data_folder"].default
    place = folder or Path(named.get("data_folder", default))
    # A copy that was being brought back when the program was killed takes its place first.
    finish_change_of_places(place)
    written = _written(place / FILE_NAME)
    spoken = {name: _from_text(name, text) for name, text in named.items()}
    values = {**written, **spoken, **given, "data_folder": place}
    try:
        return Settings.model_validate(values)
    except ValidationError as fault:
        raise _sentence(fault, spoken, given) from None


def named_in(environment: Mapping[str, str]) -> dict[str, str]:
    """Give the settings that an environment names, as text, by their names."""
    return {
        name: environment[PREFIX + name.upper()]
        for name in Settings.model_fields
        if PREFIX + name.upper() in environment
    }


def checked(name: str, value: Any, settings: Settings) -> Settings:
    """Give the settings with one of them changed.

    Parameters
    ----------
    name : str
    value
        As the file would have it.
    settings : Settings

    Returns
    -------
    Settings

    Raises
    ------
    SettingError
        Where there is no such setting, or the value is one that it cannot take.
    """
    plain = {one: getattr(settings, one) for one in Settings.model_fields}
    try:
        return Settings.model_validate({**plain, name: value})
    except ValidationError as fault:
        raise _sentence(fault, {}, {}, where="") from None


def _written(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise SettingError(
            f"the file is not TOML ({fault})", where=path.name, remedy="mend that line"
        ) from None


def _from_text(name: str, text: str) -> Any:
    """Read lists and tables in the environment the way that the file writes them."""
    if shape_of(name) not in {"list", "table"}:
        return text
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        raise SettingError(
            f"the value {text[:60]!r} cannot be read",
            where=PREFIX + name.upper(),
            remedy="write it as in shop.toml",
        ) from None


def shape_of(name: str) -> str:
    """Say in a word what a setting's value is: text, number, yes or no, choice, list or table."""
    field = Settings.model_fields[name]
    origin = get_origin(field.annotation)
    if origin is None:
        plain = {bool: "yes or no", int: "whole number", float: "number", Path: "folder"}
        return plain.get(field.annotation, _WORDS.get(name, "text"))  # type: ignore[arg-type]
    return {tuple: "list", dict: "table"}.get(origin, _WORDS.get(name, "choice"))


# What a type alone does not say.
_WORDS = {"consignor_share": "number", "copies_folder": "folder"}


def choices_of(name: str) -> tuple[str, ...]:
    """Give the values that a setting of choices may have."""
    return get_args(Settings.model_fields[name].annotation) if shape_of(name) == "choice" else ()


def _sentence(
    fault: ValidationError,
    spoken: Mapping[str, Any],
    given: Mapping[str, Any],
    where: str = FILE_NAME,
) -> SettingError:
    first = fault.errors(include_url=False)[0]
    name = str(first["loc"][0])
    if first["type"] == "extra_forbidden":
        known = ", ".join(Settings.model_fields)
        return SettingError(f"{name} is not a setting", where=where, remedy=f"use one of {known}")
    if name in given:
        where = "at the start"
    elif name in spoken:
        where = PREFIX + name.upper()
    field = Settings.model_fields[name]
    why = first["msg"].removeprefix("Value error, ").removeprefix("Input ")
    if isinstance(field.default, SecretStr):
        return SettingError(f"{name} {why}", where=where)
    return SettingError(
        f"{name} = {first['input']!r} {why}",
        where=where,
        remedy=f"the default is {field.default!r}",
    )
