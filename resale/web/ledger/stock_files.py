"""Stock and consignors of a shop that begins here: files that are tried, then loaded whole."""

from __future__ import annotations

import io
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import FileStorage

from resale.errors import ItemFileError
from resale.services.items.bring_stock import StockTrial, bring_stock, try_stock
from resale.services.settlement.bring_consignors import bring_consignors, try_consignors
from resale.storage.imports.items.item_files import write_back
from resale.web.access.current_user import me
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import Shop, current_shop, shop_now
from resale.web.ledger.column_words import column_choices, option_words
from resale.web.ledger.import_files import (
    Brought,
    brought_file,
    store_file,
    told_from_form,
    write_told,
)

screen = Blueprint("stock_files", __name__, url_prefix="/ledger/stock")
LARGEST = 40_000_000
SHOWN = 60


@screen.url_value_preprocessor
def _room_for_a_file(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let a file through that is larger than a form; asked before the form is read."""
    if endpoint in ("stock_files.upload", "stock_files.people"):
        request.max_content_length = LARGEST


@screen.get("")
def ask() -> ResponseReturnValue:
    """Ask for the files."""
    new, known = (request.args.get(name, type=int) for name in ("new", "known"))
    return render_template("ledger/stock.html", new=new, known=known)


@screen.post("")
def upload() -> ResponseReturnValue:
    """Keep a file of stock, to look at it."""
    folder, file = current_shop().settings.data_folder, _picked()
    digest = store_file(folder, str(file.filename)[:200], file.read())
    return redirect(url_for("stock_files.tried", digest=digest), 303)


@screen.post("/consignors")
def people() -> ResponseReturnValue:
    """Bring consignors in: all of them, or none where a row cannot be read."""
    shop, at = shop_now()
    file = _picked()
    read = try_consignors(shop, file.read(), str(file.filename)[:200])
    if read.problems:
        raise ItemFileError(
            read.problems[0].sentence.rstrip("."),
            where=read.table.name,
            remedy="mend it and send the file again; nothing was written",
        )
    new, known = bring_consignors(shop, me(), read, at)
    return redirect(url_for("stock_files.ask", new=new, known=known), 303)


@screen.get("/<digest>")
def tried(digest: str) -> ResponseReturnValue:
    """Show what loading a file of stock would do."""
    shop = current_shop()
    brought = brought_file(shop.settings.data_folder, digest)
    trial, trouble = _try(shop, brought)
    return render_template(
        "ledger/stock_match.html",
        brought=brought,
        trial=trial,
        trouble=trouble,
        shown=SHOWN,
        columns=column_choices(shop.changed),
        option_words=option_words(shop.changed),
        added=request.args.get("added", type=int),
    )


@screen.post("/<digest>")
def say(digest: str) -> ResponseReturnValue:
    """Take what the user says of the file."""
    folder = current_shop().settings.data_folder
    brought = brought_file(folder, digest)
    write_told(folder, digest, brought.name, told_from_form(request.form, brought.told))
    return redirect(url_for("stock_files.tried", digest=digest), 303)


@screen.get("/<digest>/came-back")
def came_back(digest: str) -> ResponseReturnValue:
    """Give the rows that do not come in as a file, with their reasons."""
    shop = current_shop()
    brought = brought_file(shop.settings.data_folder, digest)
    trial, _ = _try(shop, brought)
    stream = io.StringIO()
    if trial is not None:
        write_back(stream, trial.own.table, trial.problems)
    answer = Response(stream.getvalue().encode("utf-8-sig"), mimetype="text/csv")
    name = f"{brought.name.rsplit('.', 1)[0]}-came-back.csv"
    answer.headers.set("Content-Disposition", "attachment", filename=name)
    return answer


@screen.post("/<digest>/load")
def load_all(digest: str) -> ResponseReturnValue:
    """Load what was tried: all of it or nothing."""
    shop, at = shop_now()
    brought = brought_file(shop.settings.data_folder, digest)
    here, actor = url_for("stock_files.tried", digest=digest), me()
    job = Job(f"stock-{digest[:16]}", "Bringing the stock in", here, here)

    def work(step: Step) -> None:
        trial = try_stock(shop, brought.content, brought.name, brought.told, at.date())
        added = bring_stock(
            shop, actor, trial, at, lambda done, of: step(done, of, "Valuing each thing")
        )
        job.leads_to = f"{here}?added={added}"

    return begin(job, work)


def _picked() -> FileStorage:
    file = request.files.get("file")
    if file is None or not file.filename:
        raise ItemFileError("no file was picked", where="Stock", remedy="pick one and send it")
    return file


def _try(shop: Shop, brought: Brought) -> tuple[StockTrial | None, str]:
    today = shop.here().date()
    try:
        return try_stock(shop, brought.content, brought.name, brought.told, today), ""
    except ItemFileError as fault:
        return None, fault.sentence
