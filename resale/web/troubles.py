"""One place where faults become pages: ours in a sentence, the rest with a number only."""

from __future__ import annotations

import logging
import secrets

from flask import Flask, Response, make_response, render_template, request
from flask_wtf.csrf import CSRFError  # type: ignore[import-untyped]
from werkzeug.exceptions import HTTPException, SecurityError

from resale.errors import ResaleError
from resale.records.store import NotSavedError
from resale.web.shop import NoSuchKindError

_log = logging.getLogger("resale.web")

SENTENCES = {
    400: "The page sent something that cannot be read; go back, load the page again and retry.",
    401: "You are signed out, so nothing was changed. Sign in and send it again.",
    404: "Nothing is kept at this address.",
    405: "This address answers another kind of request; go back and use the buttons of the page.",
    429: "That was tried too often from here; wait a few minutes and try again.",
    413: "That is more than is taken at once ({most:,} MB); send less, or a smaller file.",
}
CSRF = (
    "The page was too old to be trusted, so nothing was changed. Load it again: what stood on "
    "the bench is kept in this browser."
)
HOST = "This program answers to its own machine only; open it by the address it gave at the start."


def init_app(app: Flask) -> None:
    """Register the one handler for each family of faults."""
    app.register_error_handler(ResaleError, _ours)
    app.register_error_handler(CSRFError, _forged)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unforeseen)


def _ours(fault: ResaleError) -> Response:
    missing = isinstance(fault, NotSavedError | NoSuchKindError)
    return trouble(fault.sentence, 404 if missing else 422)


def _forged(fault: CSRFError) -> Response:
    return trouble(CSRF, 400)


def _http(fault: HTTPException) -> Response:
    if isinstance(fault, SecurityError):
        # Even the headers' own template needs no address to be built, so a stranger gets one line.
        return make_response(f"{HOST}\n", 400, {"Content-Type": "text/plain; charset=utf-8"})
    code = fault.code or 500
    if code >= 500:
        return _unforeseen(fault)
    most = (request.max_content_length or 0) // 1_000_000
    answer = trouble(SENTENCES.get(code, SENTENCES[400]).format(most=most), code)
    allowed = dict(fault.get_headers()).get("Allow")
    if allowed:
        answer.headers["Allow"] = allowed
    if code == 429:
        answer.headers["Retry-After"] = dict(fault.get_headers()).get("Retry-After", "60")
    return answer


def _unforeseen(fault: Exception) -> Response:
    number = secrets.token_hex(4)
    _log.error("fault %s on %s %s", number, request.method, request.path, exc_info=fault)
    return trouble(
        f"Something went wrong on our side. Nothing that was saved is lost. Reference {number}.",
        500,
    )


def trouble(sentence: str, code: int) -> Response:
    """Answer with a sentence: a line for the bench at work, a page for everyone else."""
    live = request.headers.get("HX-Request") == "true"
    template = "trouble/line.html" if live else "trouble/page.html"
    return make_response(render_template(template, sentence=sentence, code=code), code)
