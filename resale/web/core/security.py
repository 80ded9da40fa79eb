"""What every answer and every form is guarded with."""

from __future__ import annotations

import os
import secrets
import time
from pathlib import Path

from flask import Flask, Response, request
from flask_talisman import Talisman
from flask_wtf import CSRFProtect  # type: ignore[import-untyped]

from resale.config.settings import Settings
from resale.errors import ReadingError, SettingError

KEY_FILE = "session.key"
FORM_BYTES = 1_000_000
POLICY = {
    "default-src": "'none'",
    "object-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
# Nothing of ours is meant for pages of others, and nothing of others for ours.
APART = {
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Permitted-Cross-Domain-Policies": "none",
}
UNUSED = (
    "accelerometer",
    "autoplay",
    "camera",
    "display-capture",
    "encrypted-media",
    "fullscreen",
    "geolocation",
    "gyroscope",
    "magnetometer",
    "microphone",
    "midi",
    "payment",
    "picture-in-picture",
    "screen-wake-lock",
    "usb",
    "web-share",
    "xr-spatial-tracking",
)


def init_app(app: Flask, settings: Settings) -> None:
    """Guard the application of a shop.

    Parameters
    ----------
    app : Flask
    settings : Settings
        For its secret, its hosts, and whether the wire is guarded.
    """
    app.config.update(
        SECRET_KEY=secret_of(settings.data_folder),
        MAX_CONTENT_LENGTH=FORM_BYTES,
        MAX_FORM_MEMORY_SIZE=FORM_BYTES,
        SESSION_COOKIE_NAME="__Host-resale" if settings.https else "resale",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict",
        SESSION_COOKIE_SECURE=settings.https,
        # A bench stays open all day; its form must still be good in the evening.
        WTF_CSRF_TIME_LIMIT=None,
    )
    CSRFProtect(app)
    app.before_request(refuse_nul)
    app.after_request(_isolated)
    Talisman(
        app,
        # Plain HTTP where the shop's machine talks to itself alone; a proxy in front brings https.
        force_https=False,
        strict_transport_security=settings.https,
        session_cookie_secure=settings.https,
        session_cookie_samesite="Strict",
        content_security_policy=POLICY,
        referrer_policy="same-origin",
        frame_options="DENY",
        permissions_policy=dict.fromkeys(UNUSED, "()"),
        x_xss_protection=False,
    )


def _isolated(answer: Response) -> Response:
    """Let no browser keep a page unless its view says so, and no other site use one."""
    if request.endpoint != "static" and answer.cache_control.max_age is None:
        answer.cache_control.no_store = True
    answer.headers.update(APART)
    return answer


def refuse_nul() -> None:
    """Refuse a NUL character in any text of an address or a form: no key types one.

    Some databases take it and others refuse the whole row, so none is let that far.

    Raises
    ------
    ReadingError
        If one does.
    """
    texts = [request.path, *request.args.values(), *request.form.values()]
    if any("\0" in text for text in texts):
        raise ReadingError("a text holds a NUL character", remedy="type it again")


def secret_of(folder: Path) -> str:
    """Read the key that signs the session, making it at the first start.

    Only the owner of the folder may read it.
    """
    path = folder / KEY_FILE
    try:
        file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _written_by_another(path)
    with os.fdopen(file, "w", encoding="ascii") as out:
        out.write(secrets.token_hex(32))
    return path.read_text(encoding="ascii").strip()


def _written_by_another(path: Path) -> str:
    """Read the key; a process that opens the shop at the same moment may still be writing it."""
    for _ in range(100):
        key = path.read_text(encoding="ascii").strip()
        if key:
            return key
        time.sleep(0.02)
    raise SettingError(
        "the key that signs the session is empty",
        where=str(path),
        remedy="remove the file and open the shop again; everybody signs in anew",
    )
