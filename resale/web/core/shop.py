"""The shop that an application serves."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from flask import Flask, current_app

from resale.config.settings import Settings
from resale.services.shop import NoSuchKindError, Shop, open_shop, shop_over

__all__ = [
    "EXTENSION",
    "NoSuchKindError",
    "Shop",
    "current_shop",
    "open_shop",
    "renew_shop",
    "shop_now",
]

EXTENSION = "resale"


def renew_shop(app: Flask, settings: Settings | None = None) -> None:
    """Let an application follow the prices and the rule book as they are now.

    Parameters
    ----------
    app : Flask
    settings : Settings, optional
        Those that hold from now on; the same as before where omitted.
    """
    shop: Shop = app.extensions[EXTENSION]
    app.extensions[EXTENSION] = shop_over(settings or shop.settings, shop.records)


def current_shop() -> Shop:
    """The shop of the application that answers now."""
    return cast("Shop", current_app.extensions[EXTENSION])


def shop_now() -> tuple[Shop, datetime]:
    """The shop, and now in the time of its machine."""
    shop = current_shop()
    return shop, shop.here()
