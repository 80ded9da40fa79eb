"""What every answer and every form is guarded with."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from flask import Flask
from flask_talisman import Talisman
from flask_wtf import CSRFProtect  # type: ignore[import-untyped]

KEY_FILE = "session.key"
FORM_BYTES = 1_000_000
POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
LOOPBACK = ["localhost", "127.0.0.1", "[::1]"]


def init_app(app: Flask, folder: Path) -> None:
    """Guard an application whose data lie in a folder."""
    app.config.update(
        SECRET_KEY=secret_of(folder),
        MAX_CONTENT_LENGTH=FORM_BYTES,
        MAX_FORM_MEMORY_SIZE=FORM_BYTES,
        TRUSTED_HOSTS=LOOPBACK,
        SESSION_COOKIE_NAME="resale",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict",
        # A bench stays open all day; its form must still be good in the evening.
        WTF_CSRF_TIME_LIMIT=None,
    )
    CSRFProtect(app)
    Talisman(
        app,
        # Plain HTTP, because the shop's machine talks to itself alone.
        force_https=False,
        strict_transport_security=False,
        session_cookie_secure=False,
        session_cookie_samesite="Strict",
        content_security_policy=POLICY,
        referrer_policy="same-origin",
        frame_options="DENY",
        permissions_policy=dict.fromkeys(("camera", "geolocation", "microphone"), "()"),
        x_xss_protection=False,
    )


def secret_of(folder: Path) -> str:
    """Read the key that signs the session, making it at the first start.

    Only the owner of the folder may read it.
    """
    path = folder / KEY_FILE
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    with os.fdopen(file, "w", encoding="ascii") as out:
        out.write(secrets.token_hex(32))
    return path.read_text(encoding="ascii").strip()
