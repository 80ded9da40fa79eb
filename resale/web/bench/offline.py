"""What lets the Bench go on in a browser while this machine does not answer.

A worker in the browser keeps bare copies of the Bench pages and of the files they load. A bare copy
carries no token, no name and no item, so it may stand in front of anybody.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from flask import Blueprint, Response, current_app, make_response, render_template, url_for
from flask.typing import ResponseReturnValue

from resale.config.paths import shipped
from resale.garments.rulebook.unsorted import UNSORTED
from resale.services.items.by_hand import ByHand
from resale.services.items.entry import Entry
from resale.storage.items.store import kind_counts
from resale.web.bench.kinds import kinds_shown
from resale.web.bench.views import laid_out
from resale.web.core.shop import Shop, current_shop
from resale.web.core.static_files import STYLES

screen = Blueprint("bench_shell", __name__)

# What a page without a person in it says of who is signed in.
NOBODY = {"me": None, "shell": True}


@screen.get("/bench-token")
def token() -> ResponseReturnValue:
    """Give a token that is good now, and say whose: a page may have stood for hours."""
    answer = make_response(render_template("bench/token.json"))
    answer.headers["Cache-Control"] = "no-store"
    answer.content_type = "application/json"
    return answer


@screen.get("/bench-shell")
def kinds() -> ResponseReturnValue:
    """Show the kinds, and nothing that was saved."""
    shop = current_shop()
    shown = kinds_shown(shop.book.kinds.values(), kind_counts(shop.records))
    return render_template("bench/kinds.html", shown=shown, lately=(), **NOBODY)


@screen.get("/bench-shell/<kind>")
def bare_bench(kind: str) -> ResponseReturnValue:
    """Lay out a bench with nothing on it."""
    shop = current_shop()
    by_hand = ByHand() if kind == UNSORTED else None
    return laid_out(shop, shop.kind(kind), Entry(kind, by_hand=by_hand), **NOBODY)


@screen.get("/bench-worker.js")
def worker() -> Response:
    """Give the worker, with the list of what it keeps; another version keeps it anew."""
    shop = current_shop()
    pages = {"/": url_for("bench_shell.kinds")} | {
        url_for("bench.open_bench", kind=kind): url_for("bench_shell.bare_bench", kind=kind)
        for kind in (*shop.book.kinds, UNSORTED)
    }
    files = [url_for("static", filename=name) for name in _static_files()]
    text = render_template("bench/worker.js", version=_version(shop), pages=pages, files=files)
    answer = make_response(text)
    answer.headers["Cache-Control"] = "no-cache"
    answer.content_type = "text/javascript; charset=utf-8"
    return answer


def _static_files() -> list[str]:
    folder = Path(str(current_app.static_folder))
    kept = [path for path in folder.rglob("*") if path.suffix in {".js", ".svg"}]
    return sorted([STYLES, *(path.relative_to(folder).as_posix() for path in kept)])


def _version(shop: Shop) -> str:
    parts = (_program(), shop.book.fingerprint, shop.model_id, shop.settings.name)
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16]


@cache
def _program() -> str:
    """Digest of all that a page is made of, read once: it changes with the program only."""
    digest = hashlib.sha256()
    folders = (Path(str(current_app.static_folder)), Path(str(shipped("templates"))))
    for path in sorted(path for folder in folders for path in folder.rglob("*") if path.is_file()):
        digest.update(path.read_bytes())
    return digest.hexdigest()
