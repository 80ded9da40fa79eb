"""Scripts, styles and drawings under an address that changes with them.

A page draws on seventeen of them: nothing is drawn before all styles are there, so these go as one
file. Under such an address a browser asks once and keeps them for good,
and after a new version of the program it meets new addresses and no old file. They go packed where
a browser takes that: the Bench and all that it draws on are then under 300 kB. Pages never are, as
they hold what a stranger could guess by the length of the packed page (CVE-2013-3587).
"""

from __future__ import annotations

import gzip
import hashlib
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask, Response, current_app, request

A_YEAR = 365 * 24 * 60 * 60
WORDS = frozenset({"text/css", "text/javascript", "image/svg+xml"})
"""Types that grow smaller packed."""
SHEETS = (
    "paper",
    "bench",
    "ticket",
    "widths",
    "one_look",
    "drill",
    "courses",
    "ledger",
    "rail",
    "photos",
    "access",
    "devices",
    "held",
    "print",
)
"""Files of styles, in the order in which a later one has the last word."""
STYLES = "styles/all.css"
"""The name under which they go as one."""


@cache
def version_of(folder: Path) -> str:
    """Digest of all files of a folder, read once: they change with the program only."""
    digest = hashlib.sha256()
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def init_app(app: Flask) -> None:
    """Let an application name its static files by their version, and know them without it."""

    def with_version(endpoint: str, values: dict[str, Any]) -> None:
        if endpoint == "static":
            values.setdefault("version", version_of(_folder_of(app)))

    app.add_url_rule("/static/v-<version>/<path:filename>", endpoint="static")
    app.view_functions["static"] = _file
    app.url_defaults(with_version)


def _file(filename: str, version: str = "") -> Response:
    whole = filename == STYLES
    answer = _styles() if whole else current_app.send_static_file(filename)
    if answer.mimetype in WORDS:
        answer.vary.add("Accept-Encoding")
        if answer.status_code == 200 and request.accept_encodings["gzip"]:
            folder = _folder_of(current_app)
            _pack(answer, _packed_styles(folder) if whole else _packed(folder / filename))
    if version == version_of(_folder_of(current_app)):
        answer.cache_control.no_cache = None
        answer.cache_control.public = True
        answer.cache_control.max_age = A_YEAR
        answer.cache_control.immutable = True
    return answer


def _styles() -> Response:
    """All sheets as one file, which a browser may have already."""
    folder = _folder_of(current_app)
    answer = Response(joined_styles(folder), mimetype="text/css")
    answer.cache_control.no_cache = True
    answer.set_etag(version_of(folder))
    answer.make_conditional(request)
    return answer


@cache
def joined_styles(folder: Path) -> bytes:
    """Read all sheets of a folder of static files, one after the other."""
    return b"\n".join((folder / f"styles/{name}.css").read_bytes() for name in SHEETS)


def _pack(answer: Response, packed: bytes) -> None:
    """Send the same file packed; another tag, as it is other bytes."""
    tag, _ = answer.get_etag()
    answer.close()
    answer.direct_passthrough = False
    answer.set_data(packed)
    answer.content_encoding = "gzip"
    answer.accept_ranges = "none"
    answer.set_etag(f"{tag}-gzip")


@cache
def _packed(path: Path) -> bytes:
    return gzip.compress(path.read_bytes(), mtime=0)


@cache
def _packed_styles(folder: Path) -> bytes:
    return gzip.compress(joined_styles(folder), mtime=0)


def _folder_of(app: Flask) -> Path:
    return Path(str(app.static_folder))
