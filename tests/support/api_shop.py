"""Devices of a test's shop, and what they send."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count
from typing import Any

from flask import Flask
from looked_over import answers
from werkzeug.test import TestResponse

from resale.storage.people.devices import SCOPES, add_device

Ask = Callable[..., TestResponse]
V1 = "/api/v1"
_NUMBERS = count(1)
JACKET: dict[str, Any] = {
    "kind": "jacket",
    "label": "Harrowmere",
    "size": "50",
    "note": "invented",
    "readings": {
        "cuff_buttons": "working",
        "stain": "hidden 2",
        "stitch_density": "14 in 1.25 in",
        "fibre_shell": "100% wool",
    },
}

_SIGNS, _LOOKS = answers("jacket", JACKET["readings"], label="Harrowmere")
LOOKED_OVER = {**JACKET, "readings": {**_SIGNS, **JACKET["readings"]}, "looks": _LOOKS}
"""The same jacket, looked over with nothing found, so that it may have a ticket."""


def token_of(app: Flask, name: str, *scopes: str) -> str:
    """Let a device in, under a name that no other of the test's shop has."""
    shop = app.extensions["resale"]
    own = f"{name} {next(_NUMBERS)}"
    return add_device(shop.records, own, scopes or SCOPES, shop.now())[1]
