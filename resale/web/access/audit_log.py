"""Who did what: the list for the owner, and the same as a file."""

from __future__ import annotations

import io
import json

from flask import Blueprint, render_template, request, send_file
from flask.typing import ResponseReturnValue

from resale.storage.imports.tables.table_files import write_rows
from resale.storage.people.audit_log import PAGE, all_audit_entries, audit_entries
from resale.storage.people.people import people
from resale.web.core.shop import current_shop

screen = Blueprint("audit_log", __name__, url_prefix="/deeds")

HEADING = ("number", "when", "by_whom", "role", "what", "about", "data")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List what was done, the newest first."""
    shop = current_shop()
    by_whom, about = request.args.get("by", "")[:60], request.args.get("about", "").strip()[:120]
    before = request.args.get("before", type=int)
    lines = audit_entries(shop.records, by_whom=by_whom, about=about, before=before)
    return render_template(
        "access/audit_log.html",
        lines=lines,
        names=[one.name for one in people(shop.records)],
        by_whom=by_whom,
        about=about,
        more=lines[-1].id if len(lines) == PAGE else None,
    )


@screen.get("/file")
def file() -> ResponseReturnValue:
    """Give every entry as CSV."""
    shop = current_shop()
    text = io.StringIO(newline="")
    write_rows(text, [HEADING])
    write_rows(
        text,
        (
            (
                str(one.id),
                one.made_at.isoformat(),
                one.by_whom,
                one.role,
                one.what,
                one.about,
                json.dumps(one.data, ensure_ascii=False, sort_keys=True) if one.data else "",
            )
            for one in all_audit_entries(shop.records)
        ),
    )
    out = io.BytesIO(text.getvalue().encode("utf-8-sig"))
    name = f"who-did-what-{shop.here():%Y-%m-%d}.csv"
    return send_file(out, "text/csv", as_attachment=True, download_name=name)
