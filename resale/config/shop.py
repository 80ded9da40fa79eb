"""What a shop is called, and how it writes money, numbers, dates and lengths."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from pydantic import AfterValidator, BaseModel

from resale.config.fields import Text, setting
from resale.money import Money


def _known_currency(code: str) -> str:
    if code not in list_currencies():
        raise ValueError("is not an ISO 4217 code; write one like EUR, USD or JPY")
    return code


def _known_locale(name: str) -> str:
    try:
        return str(Locale.parse(name.replace("-", "_")))
    except (ValueError, UnknownLocaleError):
        raise ValueError("is not a locale; write one like en_GB, de_DE or ja_JP") from None


Currency = Annotated[str, AfterValidator(_known_currency)]
LocaleName = Annotated[str, AfterValidator(_known_locale)]


class MoneySettings(BaseModel):
    """How the shop counts and writes money."""

    currency: Currency = setting(
        "EUR",
        "Currency of all prices, by its ISO 4217 code.",
        changes="What is valued, ticketed and sold from now on; what is written stays as it is.",
        on_screen=False,
    )
    locale: LocaleName = setting(
        "en_IE",
        "How numbers, money and dates are written.",
        changes="Every screen and paper at once; no amount changes.",
    )

    @cached_property
    def money(self) -> Money:
        """Money as this shop writes it."""
        return Money(self.currency, self.locale)


class ShopSettings(MoneySettings):
    """Settings of the shop as such."""

    name: Text = setting(
        "Our shop",
        "Name at the head of each screen and ticket.",
        changes="Screens at once, tickets and papers when they are printed next.",
    )
    note: str = setting(
        "",
        "A line for whoever looks after the shop's settings.",
        changes="Nothing else.",
        max_length=400,
    )
    length_unit: Literal["cm", "in"] = setting(
        "cm",
        "Unit of lengths on the screen: cm or in.",
        changes="How lengths are shown and read; what is saved stays the same length.",
    )
    tier_names: dict[str, Text] = setting(
        {},
        "The shop's own names for tiers, by the tier's id in the rule book.",
        changes="The words on screens and tickets; no item changes its tier.",
    )
    opening_prices_hold: bool = setting(
        False,
        "Whether ordinary things bring here about what the rule book says, in euro; else no price "
        "is proposed for a kind before the shop states it (Rule book, Ordinary prices).",
        changes="Whether new items of kinds without sales or stated prices are priced at all.",
    )
    invented: bool = setting(
        False,
        "Whether the shop is invented; every screen then says that nothing is real.",
        changes="The line at the head of every screen.",
        on_screen=False,
    )
