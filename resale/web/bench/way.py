"""How this device shows the bench: all looks on one page or one at a time, and for which hand."""

from __future__ import annotations

from flask import Response, current_app, request

A_YEAR = 365 * 24 * 60 * 60
WAYS = {"bench_way": ("list", "one"), "bench_hand": ("right", "left")}
"""Cookies of a device, each with its values, the usual one first."""
FIELDS = {"way": "bench_way", "hand": "bench_hand"}


def way_here() -> dict[str, str]:
    """Say how this device shows the bench: as it asks now, else as it asked before."""
    return {field: _value(field) for field in FIELDS}


def remember_way(answer: Response) -> Response:
    """Let the device remember what was asked for with this form, if anything was."""
    for field, cookie in FIELDS.items():
        if request.form.get(field) in WAYS[cookie]:
            answer.set_cookie(
                cookie,
                request.form[field],
                max_age=A_YEAR,
                samesite="Strict",
                secure=current_app.config["SESSION_COOKIE_SECURE"],
            )
    return answer


def _value(field: str) -> str:
    cookie = FIELDS[field]
    asked = request.form.get(field) or request.cookies.get(cookie, "")
    return asked if asked in WAYS[cookie] else WAYS[cookie][0]
