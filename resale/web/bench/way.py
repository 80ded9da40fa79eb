"""How this device shows the bench: all looks on one page or one at a time, and for which hand.

A phone begins with one at a time, a wider screen with the list; either is one tap away.
"""

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
    if asked in WAYS[cookie]:
        return asked
    return "one" if cookie == "bench_way" and _is_phone() else WAYS[cookie][0]


def _is_phone() -> bool:
    """Whether a phone asks: it says so by a hint of its own, or by the word that all of them share.

    Client Hints, `Sec-CH-UA-Mobile`; browsers without it write *Mobi* in their name.
    """
    hint = request.headers.get("Sec-CH-UA-Mobile", "")
    return hint == "?1" or (not hint and "Mobi" in request.headers.get("User-Agent", ""))
