"""The page on how a device asks: every address, what it takes, and what can go wrong."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from resale.web.api.openapi import addresses
from resale.web.api.operations import Operation
from resale.web.api.requests import MOST_ITEMS
from resale.web.api.tokens import REQUESTS
from resale.web.core.problems import TYPES

screen = Blueprint("api_page", __name__)


@dataclass(frozen=True)
class Address:
    """One line of the page about the API."""

    method: str
    path: str
    asks: Operation


@screen.get("/api")
def about() -> ResponseReturnValue:
    """Tell whoever writes for a device how it asks."""
    return render_template(
        "api/about.html",
        addresses=[Address(method, path, asks) for path, method, asks in addresses()],
        problems=TYPES.values(),
        most_items=MOST_ITEMS,
        requests=REQUESTS.amount,
    )
