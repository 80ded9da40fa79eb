"""One place where faults become pages: ours in a sentence, the rest with a number only."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable, Sequence
from typing import Any

from flask import Flask, Response, g, make_response, render_template, request
from flask_wtf.csrf import CSRFError  # type: ignore[import-untyped]
from markupsafe import escape
from werkzeug.exceptions import HTTPException, SecurityError

from resale.config.settings import Settings
from resale.errors import ResaleError
from resale.storage.backup.manifest import NoSuchCopyError
from resale.storage.db.disk_faults import DiskError, DiskFullError, disk_fault
from resale.storage.db.server_faults import ServerError
from resale.storage.items.store import NotSavedError
from resale.web.core import logs
from resale.web.core.problems import is_api, problem_of
from resale.web.core.resend import AWAY_SECONDS, address_for_the_log, fields_to_send_again
from resale.web.core.shop import NoSuchKindError

_log = logging.getLogger("resale.web")
AWAY = (
    "The shop's records cannot be reached for the moment. What was saved is all there; wait a "
    "little and do it again. If it lasts, tell the owner: the program's own window says why."
)

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
LAST_PAGE = (
    '<!doctype html><html lang="en"><meta charset="utf-8"><title>Not done</title>'
    '<h1>That did not work</h1><p class="fault">{sentence}</p><p><a href="/">To the bench</a></p>'
)
HOST = "This program answers to its own machine only; open it by the address it gave at the start."


def init_app(app: Flask, settings: Settings) -> None:
    """Register the one handler for each family of faults.

    Parameters
    ----------
    app : Flask
    settings : Settings
        They say how the log is told.
    """
    logs.init_app(app, settings)
    app.register_error_handler(ResaleError, _for_either(_ours))
    app.register_error_handler(CSRFError, _for_either(_forged))
    app.register_error_handler(HTTPException, _for_either(_http))
    app.register_error_handler(Exception, _for_either(_unforeseen))


def _for_either(page: Callable[[Any], Response]) -> Callable[[Exception], Response]:
    """Answer a device with a problem that it can read, and a person with a page."""
    return lambda fault: problem_of(fault) if is_api() else page(fault)


def _ours(fault: ResaleError) -> Response:
    disk = disk_fault(fault)
    if disk is not None:
        # What failed says it better than the disk does: it knows what was to be written.
        return _disk(fault, disk)
    if isinstance(fault, ServerError):
        return _away(fault)
    missing = isinstance(fault, NotSavedError | NoSuchKindError | NoSuchCopyError)
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


def _disk(fault: ResaleError, disk: DiskError) -> Response:
    _log.error("the disk on %s: %s", address_for_the_log(), fault.sentence)
    code = 507 if isinstance(disk, DiskFullError) else 503
    return trouble(fault.sentence, code, again=fields_to_send_again())


def _away(fault: ServerError) -> Response:
    """Say that the records are away, on a page that asks them nothing: not even who is there."""
    _log.error("the records are away on %s: %s", address_for_the_log(), fault)
    # Without a reason of the server's own, it answers, and only lets nobody write for now.
    g.records_away = bool(fault.why)
    sentence = AWAY if fault.why else fault.sentence
    answer = trouble(sentence, 503, again=fields_to_send_again())
    answer.headers["Retry-After"] = str(AWAY_SECONDS)
    return answer


def _unforeseen(fault: Exception) -> Response:
    disk = disk_fault(fault)
    if disk is not None:
        return _disk(disk, disk)
    number = secrets.token_hex(4)
    told = logs.fault_told(number)
    _log.error("fault %s on %s", number, address_for_the_log(), exc_info=fault, extra=told)
    return trouble(
        f"Something went wrong on our side. Nothing that was saved is lost. Reference {number}.",
        500,
    )


def trouble(sentence: str, code: int, again: Sequence[tuple[str, str]] = ()) -> Response:
    """Answer with a sentence: a line for the bench at work, a page for everyone else.

    Parameters
    ----------
    again : sequence of (str, str)
        Fields of the form that was sent, to be sent again by one button.
    """
    live = request.headers.get("HX-Request") == "true"
    template = "core/trouble/line.html" if live else "core/trouble/page.html"
    try:
        page = render_template(template, sentence=sentence, code=code, again=again)
    except Exception:
        # Whatever broke may be on every page: the sentence needs none of what pages ask for.
        _log.exception("the page that says what went wrong could not be written")
        page = LAST_PAGE.format(sentence=escape(sentence))
    return make_response(page, code)
