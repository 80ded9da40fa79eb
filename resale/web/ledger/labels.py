"""Labels: what each is called, and which spellings are one."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.items.call_label import call_label
from resale.storage.items.label_rows import label_lines
from resale.web.access.current_user import me
from resale.web.core.shop import shop_now
from resale.web.ledger.similar_labels import alike

screen = Blueprint("labels", __name__, url_prefix="/ledger/labels")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List labels with their spellings, and those that may be one."""
    shop, _ = shop_now()
    lines = label_lines(shop.records)
    wanted = request.args.get("q", "").strip()[:80]
    kept = [line for line in lines if wanted.casefold() in line.name.casefold()]
    return render_template(
        "ledger/labels.html",
        lines=kept,
        total=len(lines),
        pairs=alike(lines),
        wanted=wanted,
        changed=request.args.get("changed", type=int),
    )


@screen.post("")
def call_it() -> ResponseReturnValue:
    """Say what a spelling is called."""
    shop, at = shop_now()
    written, name = (request.form.get(field, "")[:200] for field in ("written", "name"))
    changed = call_label(shop.records, me(), written, name, at)
    return redirect(url_for("labels.listed", changed=changed), 303)
