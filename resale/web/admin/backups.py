"""Copies of the shop: those that are kept, one made now, one carried away."""

from __future__ import annotations

from pathlib import Path

from flask import Blueprint, current_app, render_template, send_file, url_for
from flask.typing import ResponseReturnValue

from resale.money import Money
from resale.services.backup.take_away import keep_copy, take_copy_away
from resale.storage.backup.catalogue import backups_in, copies_folder, room_taken
from resale.web.access.current_user import me
from resale.web.admin.daily_copies import copy_trouble
from resale.web.core.jobs import Job, Step, begin
from resale.web.core.shop import current_shop

screen = Blueprint("backups", __name__, url_prefix="/copies")


@screen.get("")
def listed() -> ResponseReturnValue:
    """List the copies, the newest first."""
    shop = current_shop()
    settings = shop.settings
    folder = copies_folder(settings)
    copies = backups_in(folder)
    return render_template(
        "admin/backups.html",
        copies=copies,
        folder=folder,
        size=room_taken(folder),
        trouble=copy_trouble(current_app),
        ahead={one.path.name for one in copies if one.is_ahead_of(shop.here())},
        in_currency=lambda code, minor: Money(code, settings.locale).show(minor),
    )


@screen.post("")
def make() -> ResponseReturnValue:
    """Keep a copy now."""
    shop = current_shop()
    here = url_for("backups.listed")
    job = Job("keep-a-copy", "Keeping a copy", here, here)

    actor, folder = me(), copies_folder(shop.settings)

    def work(step: Step) -> None:
        keep_copy(shop.records, shop.settings, actor, folder, shop.here(), step)

    return begin(job, work)


@screen.get("/<name>")
def download(name: str) -> ResponseReturnValue:
    """Give a copy, to be carried away."""
    shop = current_shop()
    whole, called = take_copy_away(shop, me(), name, shop.here())
    file = whole.resolve() if isinstance(whole, Path) else whole
    return send_file(file, "application/zip", as_attachment=True, download_name=called)
