"""Following prices, rules and settings in use, whichever process of the shop changed them.

Before a request is answered, and at most once a second, one small question to the records says
whether this process still has what holds. So prices learned by a command, or on another machine,
and rules or settings changed there, are seen within seconds.
"""

from __future__ import annotations

import logging
import threading
from time import monotonic
from typing import cast

from flask import Flask, request
from sqlalchemy.exc import SQLAlchemyError

from resale.config.fields import meaning_of
from resale.config.settings import Settings, read_settings
from resale.errors import ResaleError
from resale.storage.models.version_in_use import version_in_use
from resale.web.core.shop import EXTENSION as SHOP
from resale.web.core.shop import Shop, renew_shop

EVERY = "FOLLOW_EVERY"
GIVEN = "SETTINGS_GIVEN"
"""Settings that the process was started with, which go before the file."""
SECONDS = 1.0
_log = logging.getLogger("resale.web")


class Follower:
    """Looks whether an application still follows what holds; one thread at a time does."""

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._lock = threading.Lock()
        self._looked = monotonic()

    def look(self) -> None:
        """Look, if it is time to."""
        waited = monotonic() - self._looked
        if waited < self._app.config[EVERY] or not self._lock.acquire(blocking=False):
            return
        try:
            self._renewed()
        except (SQLAlchemyError, ResaleError):
            # Records that are away are told of by whoever needs them; prices stay as they were.
            _log.warning("whether prices or rules changed could not be seen", exc_info=True)
        finally:
            self._looked = monotonic()
            self._lock.release()

    def _renewed(self) -> None:
        shop = cast("Shop", self._app.extensions[SHOP])
        now = version_in_use(shop.records, shop.settings)
        if now != shop.version:
            changed = now.settings != shop.version.settings
            renew_shop(self._app, self._settings(shop) if changed else None)

    def _settings(self, shop: Shop) -> Settings:
        """Settings as they are now; what the file alone may say holds from the next start on."""
        given = self._app.config.get(GIVEN, {})
        now = read_settings(shop.settings.data_folder, **given)
        return shop.settings.model_copy(
            update={
                name: getattr(now, name)
                for name, field in Settings.model_fields.items()
                if meaning_of(field).on_screen
            }
        )


def init_app(app: Flask) -> None:
    """Let an application follow what holds; its configuration may say every how many seconds."""
    app.config.setdefault(EVERY, SECONDS)
    follower = Follower(app)

    def look() -> None:
        if request.endpoint != "static":
            follower.look()

    app.before_request(look)
