"""What the program writes where it was started: lines for a person, or one JSON object each.

An object holds what a watch over many desks needs and nothing of what a shop keeps: the rule of an
address and never the address, what was to be said and never what was filled in, where a fault was
raised and never its words. So no name, number, search or token can stand in it.

References
----------
RFC 8259 for JSON, RFC 3339 for the time; one object a line is common practice, no source.
"""

from __future__ import annotations

import json
import logging
import re
import time
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from flask import Flask, Response, g, request

from resale.config.settings import Settings

NOWHERE = "no such address"
_requests = logging.getLogger("resale.requests")
# What others write may have been filled in by them before it comes here.
_KNOWN = ("resale", "waitress.queue")
_FILLED_IN = re.compile(r"%[sdr]")
_FRAMES = 6


class JsonLines(logging.Formatter):
    """One JSON object for each line of the log."""

    def format(self, record: logging.LogRecord) -> str:
        """Write one line down."""
        at = datetime.fromtimestamp(record.created, UTC)
        said = {"time": at.isoformat(timespec="milliseconds"), "level": record.levelname.lower()}
        if record.name.startswith(_KNOWN):
            said["what"] = _FILLED_IN.sub("…", str(record.msg))
        else:
            said["by"] = record.name
        more: dict[str, Any] = getattr(record, "told", {})
        return json.dumps({**said, **more, **_raised(record)}, ensure_ascii=False)


def begin(settings: Settings) -> None:
    """Let everything that this process logs be written as the settings say."""
    if settings.log_form == "json":
        handler = logging.StreamHandler()
        handler.setFormatter(JsonLines())
        logging.basicConfig(handlers=[handler], force=True)


def init_app(app: Flask, settings: Settings) -> None:
    """Write a line for each request of an application, where it is read by a program.

    Parameters
    ----------
    app : Flask
    settings : Settings
    """
    if settings.log_form == "json":
        _requests.setLevel(logging.INFO)
        app.before_request_funcs.setdefault(None, []).insert(0, _begin)
        app.after_request(_answered)


def fault_told(number: str) -> dict[str, Any]:
    """Note the number of a fault for the request's line; give what a line on the fault holds."""
    g.fault = number
    rule = request.url_rule
    return {"told": {"fault": number, "rule": rule.rule if rule else NOWHERE}}


def _begin() -> None:
    g.answered_from = time.perf_counter()


def _answered(answer: Response) -> Response:
    rule = request.url_rule
    told = {
        "rule": rule.rule if rule else NOWHERE,
        # A method that no standard knows would be of a stranger's making.
        "method": request.method if rule or request.method == "GET" else "other",
        "status": answer.status_code,
        "ms": round(1000 * (time.perf_counter() - g.get("answered_from", time.perf_counter())), 1),
    }
    if "fault" in g:
        told["fault"] = g.fault
    level = logging.ERROR if answer.status_code >= 500 else logging.INFO
    _requests.log(level, "answered", extra={"told": told})
    return answer


def _raised(record: logging.LogRecord) -> dict[str, Any]:
    fault = record.exc_info[1] if record.exc_info else None
    if fault is None:
        return {}
    frames = traceback.extract_tb(fault.__traceback__)[-_FRAMES:]
    # Where, by file and line; neither a line's text nor what the fault says.
    where = [f"{'/'.join(Path(one.filename).parts[-2:])}:{one.lineno}" for one in frames]
    return {"raised": type(fault).__name__, "at": where}
