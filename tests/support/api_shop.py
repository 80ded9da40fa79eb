"""Devices of a test's shop, and what they send."""

from __future__ import annotations

from collections.abc import Callable
from itertools import count

from flask import Flask
from werkzeug.test import TestResponse

from resale.storage.people.devices import SCOPES, add_device

Ask = Callable[..., TestResponse]
V1 = "/api/v1"
_NUMBERS = count(1)
JACKET = {
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


def token_of(app: Flask, name: str, *scopes: str) -> str:
    """Let a device in, under a name that no other of the test's shop has."""
    shop = app.extensions["resale"]
    own = f"{name} {next(_NUMBERS)}"
    return add_device(shop.records, own, scopes or SCOPES, shop.now())[1]
