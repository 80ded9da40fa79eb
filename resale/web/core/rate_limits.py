"""How often the same stranger may try: one limiter for the whole application.

Counts are kept in memory; a restart forgets them, which a shop's own machine can afford.
"""

from __future__ import annotations

from flask import Flask
from flask_limiter import Limiter
from flask_limiter.util import get_remote_address

limiter = Limiter(get_remote_address, storage_uri="memory://", strategy="moving-window")


def init_app(app: Flask) -> None:
    """Count for an application; its configuration may switch counting off."""
    app.config.setdefault("RATELIMIT_HEADERS_ENABLED", True)
    app.config.setdefault("RATELIMIT_ENABLED", True)
    limiter.init_app(app)
