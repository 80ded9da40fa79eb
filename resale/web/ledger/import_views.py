"""Bring your own past: a file of past sales, matched, tried, and loaded all or nothing."""

from __future__ import annotations

import io
from dataclasses import asdict
from typing import Any

from flask import Blueprint, Response, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ItemFileError
from resale.services.imports.load_past_sales import load_past_sales
from resale.storage.imports.tables.encodings import CHOICES
from resale.web.access.current_user import me
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import Shop, current_shop
from resale.web.ledger.column_words import column_choices, option_words
from resale.web.ledger.import_files import (
    Brought,
    Tried,
    brought_file,
    store_file,
    told_from_form,
    try_file,
    write_told,
)

screen = Blueprint("imports", __name__, url_prefix="/ledger/bring")
LARGEST = 40_000_000
SHOWN = 60
_TRIED = "resale.tried"


@screen.app_template_filter("column_name")
def column_name(column: str) -> str:
    """Our name of a column of past sales, in words."""
    choices = column_choices(current_shop().changed)
    return dict(pair for _, pairs in choices for pair in pairs).get(column, column)


@screen.url_value_preprocessor
def _room_for_a_file(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let a file through that is larger than a form; asked before the form is read."""
    if endpoint == "imports.upload":
        request.max_content_length = LARGEST


@screen.get("")
def ask() -> ResponseReturnValue:
    """Ask for the file."""
    return render_template("ledger/import.html")


@screen.post("")
def upload() -> ResponseReturnValue:
    """Keep the file and try it."""
    shop = current_shop()
    file = request.files.get("file")
    if file is None or not file.filename:
        raise ItemFileError("no file was picked", where="Bring", remedy="pick one and send it")
    content = file.read()
    digest = store_file(shop.settings.data_folder, file.filename[:200], content)
    return _try(shop, brought_file(shop.settings.data_folder, digest))


@screen.get("/<digest>")
def tried(digest: str) -> ResponseReturnValue:
    """Show what loading the file would do."""
    shop = current_shop()
    brought = brought_file(shop.settings.data_folder, digest)
    found = _known(brought)
    if found is None:
        return _try(shop, brought)
    return render_template(
        "ledger/import_match.html",
        tried=found,
        shown=SHOWN,
        columns=column_choices(shop.changed),
        option_words=option_words(shop.changed),
        letters=CHOICES,
        added=request.args.get("added", type=int),
    )


@screen.post("/<digest>")
def say(digest: str) -> ResponseReturnValue:
    """Take what the user says of the file, and try it again."""
    shop = current_shop()
    brought = brought_file(shop.settings.data_folder, digest)
    told = told_from_form(request.form, brought.told)
    write_told(shop.settings.data_folder, digest, brought.name, told)
    return _try(shop, brought_file(shop.settings.data_folder, digest))


@screen.get("/<digest>/came-back")
def came_back(digest: str) -> ResponseReturnValue:
    """Give the bad rows as a file, with their reasons."""
    brought = brought_file(current_shop().settings.data_folder, digest)
    found = _known(brought) or try_file(current_shop(), brought)
    stream = io.StringIO()
    if found.run is not None:
        found.run.write_bad_rows(stream)
    answer = Response(stream.getvalue().encode("utf-8-sig"), mimetype="text/csv")
    name = brought.name.rsplit(".", 1)[0]
    answer.headers.set("Content-Disposition", "attachment", filename=f"{name}-came-back.csv")
    return answer


@screen.post("/<digest>/load")
def load_all(digest: str) -> ResponseReturnValue:
    """Load what was tried: all of it or nothing."""
    shop = current_shop()
    brought = brought_file(shop.settings.data_folder, digest)
    here, actor = url_for("imports.tried", digest=digest), me()
    job = Job(f"load-{digest[:16]}", "Loading past sales", here, here)

    def work(step: Step) -> None:
        step(0, 3, "Reading the file once more")
        found = try_file(shop, brought)
        if found.run is None:
            raise ItemFileError(found.trouble, where=brought.name, remedy="match its columns")
        step(1, 3, f"Writing {shop.money.count(found.run.counts.fresh)} past sales")
        added = load_past_sales(shop.records, actor, found.run, shop.settings.currency, shop.here())
        job.leads_to = f"{here}?added={added}"
        step(2, 3, "Looking at the file again")
        known[digest] = try_file(shop, brought)

    known = _store()
    return begin(job, work)


def _try(shop: Shop, brought: Brought) -> ResponseReturnValue:
    here = url_for("imports.tried", digest=brought.digest)
    job = Job(f"try-{brought.digest[:16]}", "Reading the file", here, url_for("imports.ask"))
    known = _store()

    def work(step: Step) -> None:
        step(0, 1, f"Reading {brought.name}")
        known.clear()
        known[brought.digest] = try_file(shop, brought)

    return begin(job, work)


def _store() -> dict[str, Tried]:
    """The last file tried, kept so that each page about it need not read it again."""
    held: dict[str, Tried] = current_app.extensions.setdefault(_TRIED, {})
    return held


def _known(brought: Brought) -> Tried | None:
    found = _store().get(brought.digest)
    if found is None or asdict(found.brought.told) != asdict(brought.told):
        return None
    return found
