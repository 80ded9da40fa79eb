"""The copy of the day: made while the screens are open, with the oldest let go.

One is due when none was made since the hour last struck. So a machine that was off or asleep at
that hour makes it when it is on again.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import cast

from apscheduler.schedulers.background import BackgroundScheduler
from flask import Flask

from resale.errors import ResaleError
from resale.storage.backup.catalogue import (
    backups_in,
    copies_folder,
    is_due,
    is_overdue,
    let_go,
)
from resale.storage.backup.make import make_backup
from resale.storage.backup.pieces.turns import turn
from resale.storage.db.disk_faults import disk_fault, disk_faults_said
from resale.web.core.shop import EXTENSION as SHOP
from resale.web.core.shop import Shop

EXTENSION = "resale.daily_copies"
# How long an answer holds that takes a look into the folder.
ASK_AGAIN = timedelta(minutes=1)
NOT_COME = (
    "It was due at {hour:02d}:00 and has not come. Make one by hand, and close and open the shop; "
    "if it does not come tomorrow either, look at what the program wrote where it was started."
)
_log = logging.getLogger("resale.web")


class DailyCopies:
    """The copies of the day of one application.

    Attributes
    ----------
    trouble : str
        Why the last one was not made; empty where it was.
    """

    def __init__(self, app: Flask) -> None:
        self._app = app
        self._lock = threading.Lock()
        self.trouble = ""
        self._opened = self._shop.here()
        self._checked_at, self._late = self._opened, False

    @property
    def _shop(self) -> Shop:
        return cast("Shop", self._app.extensions[SHOP])

    def notice(self) -> str:
        """What is wrong, asked by every screen: also where whatever makes copies has died."""
        now = self._shop.here()
        if abs(now - self._checked_at) > ASK_AGAIN:
            settings = self._shop.settings
            copies = backups_in(copies_folder(settings))
            self._late = is_overdue(copies, settings.copy_hour, self._opened, now)
            if not is_due(copies, settings.copy_hour, now):
                # Another process of this shop made it.
                self.trouble = ""
            self._checked_at = now
        if self.trouble:
            return self.trouble
        return NOT_COME.format(hour=self._shop.settings.copy_hour) if self._late else ""

    def make(self) -> None:
        """Make the copy of the day if it is due, and let the oldest go."""
        with self._lock:
            self._make()

    def _make(self) -> None:
        shop = self._shop
        settings, folder = shop.settings, copies_folder(shop.settings)
        try:
            # Of several processes that serve a shop, one makes it, and the others find it made.
            with disk_faults_said(), turn(folder, "day"):
                if is_due(backups_in(folder), settings.copy_hour, shop.here()):
                    make_backup(shop.records, settings, folder, shop.here(), why="daily")
                    # The new one lies there whole before an old one goes.
                    let_go(folder, settings.copies_kept, shop.here())
            self.trouble, self._late = "", False
        except ResaleError as fault:
            self._failed(fault.sentence)
        except Exception as fault:
            notice = disk_fault(fault)
            _log.exception("the copy of the day was not made")
            self._failed(notice.sentence if notice else "Something went wrong on our side.")

    def _failed(self, sentence: str) -> None:
        _log.error("the copy of the day was not made: %s", sentence)
        self.trouble = sentence


@contextmanager
def daily_copies(app: Flask) -> Iterator[BackgroundScheduler | None]:
    """Make copies of the day for as long as the screens are open.

    An invented shop, and one whose settings say so, has none.
    """
    settings = cast("Shop", app.extensions[SHOP]).settings
    if settings.invented or not settings.copy_each_day:
        yield None
        return
    copies = DailyCopies(app)
    app.extensions[EXTENSION] = copies
    # No grace time: after a sleep of the machine, what was missed is made, once.
    scheduler = BackgroundScheduler(job_defaults={"coalesce": True, "misfire_grace_time": None})
    scheduler.add_job(copies.make, "cron", hour=settings.copy_hour)
    scheduler.start()
    first = threading.Thread(target=copies.make)
    first.start()
    try:
        yield scheduler
    finally:
        first.join()
        scheduler.shutdown()


def copy_trouble(app: Flask) -> str:
    """Why the last copy of the day was not made; empty where it was, or none is wanted."""
    copies = app.extensions.get(EXTENSION)
    return copies.notice() if isinstance(copies, DailyCopies) else ""
