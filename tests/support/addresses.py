"""Every address of the program, its blanks filled."""

from __future__ import annotations

from flask import Flask

PARTS = {
    "serial": "1",
    "kind": "jacket",
    "group": "prices",
    "zone": "wear",
    "number": "Q-00001",
    "filename": "styles/bench.css",
    "version": "0",
    "key": "0",
    "place": "1",
    "family": "pilling",
    "level": "1",
    "seed": "1",
    "view": "plain",
    "day": "2026-03-01",
    "event": "1",
    "name": "off",
    "signal": "cuff_buttons",
    "digest": "0",
    "token": "0",
    "person": "1",
    "photo": "1",
    "size": "small",
    "device": "1",
    "step": "1",
    "hold": "mould",
    "course": "1",
}


def addresses(app: Flask) -> list[str]:
    """Every address of the URL map, its blanks filled."""
    found = []
    for rule in app.url_map.iter_rules():
        with app.test_request_context():
            found.append(app.url_for(rule.endpoint, **{one: PARTS[one] for one in rule.arguments}))
    return found
