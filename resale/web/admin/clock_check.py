"""A clock that cannot be right is said on every screen: days, marks and copies go by it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import cast

from babel.dates import format_datetime
from flask import Flask
from sqlalchemy.exc import SQLAlchemyError

from resale.storage.backup.clock import ahead_of_clock
from resale.web.core.shop import EXTENSION as SHOP
from resale.web.core.shop import Shop

EXTENSION = "resale.clock_check"
ASK_AGAIN = timedelta(minutes=1)
SAYS = (
    "The clock of the shop's machine says {now}, and something was written down at {then} already. "
    "One of the two was wrong: set the clock right, and look at what was done meanwhile."
)


@dataclass
class _LastCheck:
    """What was found last, and when."""

    at: datetime
    sentence: str


def clock_trouble(app: Flask) -> str:
    """Say what is wrong with the clock; empty where nothing is, and in an invented shop."""
    shop = cast("Shop", app.extensions[SHOP])
    if shop.settings.invented:
        return ""
    now, last = shop.now(), app.extensions.get(EXTENSION)
    if isinstance(last, _LastCheck) and abs(now - last.at) < ASK_AGAIN:
        return last.sentence
    found = _LastCheck(now, _looked(shop, now))
    app.extensions[EXTENSION] = found
    return found.sentence


def _looked(shop: Shop, now: datetime) -> str:
    try:
        then = ahead_of_clock(shop.records, now)
    except SQLAlchemyError:
        # Records that are away are told of by whoever needs them.
        return ""
    if then is None:
        return ""
    return SAYS.format(now=_written(shop, now), then=_written(shop, then))


def _written(shop: Shop, at: datetime) -> str:
    return format_datetime(at.astimezone(), "d MMM y, HH:mm", locale=shop.settings.locale)
