"""The shop's settings: one table of name, type, default, unit and sentence.

A setting is taken from `shop.toml` in the data folder; an environment variable ``RESALE_NAME``
goes before it, and what the program is started with goes before both.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from platformdirs import user_data_path
from pydantic import AfterValidator, ConfigDict, Field, SecretStr, ValidationError

from resale.config.backup import KeepingSettings
from resale.config.database_url import RecordsUrl, ShopKey
from resale.config.photos import PhotoSettings
from resale.config.selling import SellingSettings
from resale.config.selling import setting as _setting
from resale.errors import SettingError
from resale.garments.measures.length import LengthUnit
from resale.money import Money
from resale.pricing.model.recency import DEFAULT_HALF_LIFE
from resale.pricing.valuation.shop_terms import ShopTerms, TicketStep

FILE_NAME = "shop.toml"
PREFIX = "RESALE_"


def _known_currency(code: str) -> str:
    if code not in list_currencies():
        raise ValueError("is not an ISO 4217 code; write one like EUR, USD or JPY")
    return code


def _known_locale(name: str) -> str:
    try:
        return str(Locale.parse(name.replace("-", "_")))
    except (ValueError, UnknownLocaleError):
        raise ValueError("is not a locale; write one like en_GB, de_DE or ja_JP") from None


def _rising_steps(steps: tuple[TicketStep, ...]) -> tuple[TicketStep, ...]:
    unders = [step.under for step in steps]
    if unders != sorted(set(unders)) or not steps or unders[-1] != float("inf"):
        raise ValueError("has to rise and end with a step under inf")
    if any(step.step <= 0 for step in steps):
        raise ValueError("has a step that is not above 0")
    return steps


Currency = Annotated[str, AfterValidator(_known_currency)]
LocaleName = Annotated[str, AfterValidator(_known_locale)]
Steps = Annotated[tuple[TicketStep, ...], AfterValidator(_rising_steps)]
Text = Annotated[str, Field(min_length=1, max_length=60)]


class Settings(PhotoSettings, SellingSettings, KeepingSettings):
    """Every setting, with its default, unit and sentence; this class is the table."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    data_folder: Path = _setting(
        user_data_path("resale", False) / "shop", "", "Where the shop's records are kept."
    )
    records_url: RecordsUrl = _setting(
        SecretStr(""),
        "",
        "Address of a PostgreSQL database that keeps the records; empty keeps them in the folder.",
    )
    shop_key: ShopKey = _setting(
        "shop", "", "Name of this shop's own part of that database, where it is not alone there."
    )
    name: Text = _setting("Our shop", "", "Name at the head of each screen and ticket.")
    note: str = _setting("", "", "A line for whoever keeps the shop's settings.", max_length=400)
    currency: Currency = _setting("EUR", "", "Currency of all prices, by its ISO 4217 code.")
    locale: LocaleName = _setting("en_IE", "", "How numbers, money and dates are written.")
    wage: float = _setting(
        24.0, "currency an hour", "What an hour at the desk costs; says when to stop looking.", ge=0
    )
    coverage: float = _setting(
        0.8, "share", "Share of sales that a price band should hold.", ge=0.5, le=0.99
    )
    least_ticket: float = _setting(
        3.0, "currency", "Below this an item does not earn its place on the rail.", ge=0
    )
    ticket_steps: Steps = _setting(
        ShopTerms().steps, "currency", "Tickets under an amount are rounded to a step."
    )
    half_life_days: float = _setting(
        DEFAULT_HALF_LIFE,
        "days",
        "After so many days a sale counts half when prices are learned.",
        gt=0,
        le=36_500,
    )
    length_unit: LengthUnit = _setting("cm", "", "Unit of lengths on the screen: cm or in.")
    tier_names: dict[str, Text] = _setting(
        {}, "", "The shop's own names for tiers, by the tier's id in the rule book."
    )
    hosts: tuple[Text, ...] = _setting(
        (), "", "Names and addresses, besides this machine's own, that the shop is opened by."
    )
    https: bool = _setting(
        False, "", "Whether a proxy in front speaks https; cookies then go no other way."
    )
    proxies: int = _setting(
        0, "proxies", "Proxies in front whose word on a visitor's address is trusted.", ge=0, le=4
    )
    invented: bool = _setting(
        False, "", "Whether the shop is invented; every screen then says that nothing is real."
    )

    @cached_property
    def money(self) -> Money:
        """Money as this shop writes it."""
        return Money(self.currency, self.locale)

    @cached_property
    def terms(self) -> ShopTerms:
        """What enters a valuation."""
        return ShopTerms(
            wage=self.wage,
            coverage=self.coverage,
            least_ticket=self.least_ticket,
            decimals=self.money.decimals,
            steps=self.ticket_steps,
        )


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

    Raises
    ------
    SettingError
        Naming the first setting with a value that it cannot take, and where it stands.
    """
    surroundings = os.environ if environment is None else environment
    named = {
        name: surroundings[PREFIX + name.upper()]
        for name in Settings.model_fields
        if PREFIX + name.upper() in surroundings
    }
    default: Path = Settings.model_fields["data_folder"].default
    place = folder or Path(named.get("data_folder", default))
    written = _written(place / FILE_NAME)
    spoken = {name: _from_text(name, text) for name, text in named.items()}
    values = {**written, **spoken, **given, "data_folder": place}
    try:
        return Settings.model_validate(values)
    except ValidationError as fault:
        raise _sentence(fault, place / FILE_NAME, spoken, given) from None


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
    if name not in {"ticket_steps", "tier_names", "rail_widths", "marks", "habit", "hosts"}:
        return text
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        raise SettingError(
            f"the value {text[:60]!r} cannot be read",
            where=PREFIX + name.upper(),
            remedy="write it as in shop.toml",
        ) from None


def _sentence(
    fault: ValidationError, path: Path, spoken: Mapping[str, Any], given: Mapping[str, Any]
) -> SettingError:
    first = fault.errors(include_url=False)[0]
    name = str(first["loc"][0])
    if first["type"] == "extra_forbidden":
        known = ", ".join(Settings.model_fields)
        return SettingError(
            f"{name} is not a setting", where=path.name, remedy=f"use one of {known}"
        )
    where = path.name
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


@dataclass(frozen=True)
class SettingRow:
    """One row of the table of settings, as text."""

    name: str
    type: str
    default: str
    unit: str
    sentence: str


def settings_table() -> list[SettingRow]:
    """Give the table of settings, for the command line and the handbook."""
    return [
        SettingRow(
            name,
            _TYPE_WORDS.get(name, "text"),
            _shown_default(field.default),
            str(field.json_schema_extra["unit"]),
            str(field.description),
        )
        for name, field in _in_order()
    ]


def _in_order() -> list[tuple[str, Any]]:
    """The shop's own settings first, then those of the second desk and of photos."""
    later = SellingSettings.model_fields | PhotoSettings.model_fields
    return sorted(Settings.model_fields.items(), key=lambda named: named[0] in later)


_TYPE_WORDS = {
    "data_folder": "folder",
    "wage": "number",
    "coverage": "number",
    "least_ticket": "number",
    "half_life_days": "number",
    "ticket_steps": "list",
    "tier_names": "table",
    "copies_folder": "folder",
    "copy_each_day": "yes or no",
    "copy_hour": "whole number",
    "copies_kept": "whole number",
    "invented": "yes or no",
    "hosts": "list",
    "https": "yes or no",
    "proxies": "whole number",
    "consignor_share": "number",
    "rail_cm": "number",
    "rail_cost_day": "number",
    "rail_widths": "table",
    "kind_most": "number",
    "size_most": "number",
    "period_days": "whole number",
    "periods": "whole number",
    "marks": "list",
    "habit": "list",
    "pass_on_value": "number",
    "days_to_collect": "whole number",
    "days_to_pay": "whole number",
    "photo_mb": "whole number",
    "photo_megapixels": "whole number",
    "photos_most": "whole number",
    "photo_days": "whole number",
}


def _shown_default(value: Any) -> str:
    if isinstance(value, tuple) and not all(isinstance(one, TicketStep) for one in value):
        return f"[{', '.join(map(str, value))}]"
    if isinstance(value, tuple):
        steps = (f"{{under = {step.under:g}, step = {step.step:g}}}" for step in value)
        return f"[{', '.join(steps)}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return ""
    return "{}" if value == {} else str(value)
