"""Devices of a test's shop, and what they send."""

from __future__ import annotations

from collections.abc import Callable

from flask import Flask
from werkzeug.test import TestResponse

from resale.records.devices import SCOPES, add_device

Ask = Callable[..., TestResponse]
V1 = "/api/v1"
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
    shop = app.extensions["resale"]
    return add_device(shop.records, name, scopes or SCOPES, shop.now())[1]
