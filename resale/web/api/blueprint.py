"""Where the API hangs: one blueprint, its version in the address."""

from __future__ import annotations

from flask import Blueprint

VERSION = 1
PATH = f"/api/v{VERSION}"
api = Blueprint("api", __name__, url_prefix=PATH)
