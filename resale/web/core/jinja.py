"""What every template may use: the shop's money, dates and the words on a valuation."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from babel.dates import format_date, format_datetime
from flask import Flask

from resale.money import Money
from resale.selling.consignment.wording import percent
from resale.selling.tickets.lost_letters import lost_letters
from resale.web.core import price_seam as drawing
from resale.web.core import wording as words
from resale.web.core.fine_lines import thread, ticks
from resale.web.core.found_nothing import found_nothing
from resale.web.core.make_gauge import make_gauge
from resale.web.core.shop import current_shop


def init_app(app: Flask) -> None:
    """Give the templates their words."""
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters.update(moment=moment, day=day, short_day=short_day, paid=paid)
    app.jinja_env.filters["day_words"] = day_words
    app.jinja_env.filters.update(percent=percent, number=number, in_words=in_words)
    app.jinja_env.globals.update(
        seam_of=lambda valued: drawing.seam_of(valued, found_nothing(current_shop())),
        band_bar=drawing.band_bar,
        make_gauge=make_gauge,
        thread=thread,
        ticks=ticks,
        tier_runs=drawing.tier_runs,
        band_words=words.band_words,
        support_words=words.support_words,
        chance_words=words.chance_words,
        lost_letters=lost_letters,
        money_in=money_in,
        route_words=words.route_words,
        next_words=words.next_words,
        spoken=words.spoken,
        ROUTE_NAMES=words.ROUTE_NAMES,
        STANDS=words.STANDS,
    )
    app.context_processor(_shop)


def moment(at: datetime) -> str:
    """Write a day and time as the shop does, in the time of its machine."""
    settings = current_shop().settings
    return format_datetime(at.astimezone(), "d MMM y, HH:mm", locale=settings.locale)


def day_words(day: date) -> str:
    """Write a day as the shop does."""
    return format_date(day, "d MMMM y", locale=current_shop().settings.locale)


def day(on: date) -> str:
    """Write a day as the shop does."""
    return format_date(on, "EEE d MMM y", locale=current_shop().settings.locale)


def short_day(on: date) -> str:
    """Write a day of this year."""
    return format_date(on, "d MMM", locale=current_shop().settings.locale)


def paid(amount: float) -> str:
    """Write an amount that is not exact to the cent, such as a median."""
    return current_shop().money.about(amount)


def money_in(currency: str, minor: int) -> str:
    """Write an amount in a currency of its own, with the shop's marks.

    Parameters
    ----------
    currency : str
        ISO 4217 code.
    minor : int
        In minor units.
    """
    return Money(currency, current_shop().settings.locale).show(minor)


def number(value: float, places: int | None = None, *, signed: bool = False) -> str:
    """Write a number that is no amount with the shop's marks.

    Parameters
    ----------
    value, places, signed
        As for `Money.number`.
    """
    return current_shop().money.number(value, places, signed=signed)


def in_words(sentence: str) -> str:
    """Give the numbers of a sentence the shop's marks."""
    return current_shop().money.in_words(sentence)


def _shop() -> dict[str, Any]:
    shop = current_shop()
    return {
        "shop": shop,
        "settings": shop.settings,
        "money": shop.money,
    }
