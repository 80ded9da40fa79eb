"""What stands on every screen until somebody sees to it: no copy of the day, a wrong clock."""

from __future__ import annotations

from flask import Flask, current_app

from resale.web.admin.clock_check import clock_trouble
from resale.web.admin.daily_copies import copy_trouble


def init_app(app: Flask) -> None:
    """Let every template ask for it; nothing is looked at where none does."""
    app.context_processor(
        lambda: {
            "copy_trouble": lambda: copy_trouble(current_app),
            "clock_trouble": lambda: clock_trouble(current_app),
        }
    )
