"""What stands on screens until somebody sees to it.

No copy of the day, a wrong clock, days without a sale; and what a new shop does next.
"""

from __future__ import annotations

from flask import Flask, current_app

from resale.services.ledger.quiet import quiet_now
from resale.services.settings.first_days import first_days
from resale.storage.ledger.quiet_days import Quiet
from resale.web.admin.clock_check import clock_trouble
from resale.web.admin.daily_copies import copy_trouble
from resale.web.core.shop import current_shop


def _quiet_days() -> list[Quiet]:
    shop = current_shop()
    return quiet_now(shop, shop.here().date())


def init_app(app: Flask) -> None:
    """Let every template ask for it; nothing is looked at where none does."""
    app.context_processor(
        lambda: {
            "copy_trouble": lambda: copy_trouble(current_app),
            "clock_trouble": lambda: clock_trouble(current_app),
            "first_days": lambda: first_days(current_shop()),
            "quiet_days": _quiet_days,
        }
    )
