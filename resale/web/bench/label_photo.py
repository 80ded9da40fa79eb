"""A photographed label on the Bench: its words go into empty fields, and the photo nowhere."""

from __future__ import annotations

from contextlib import closing
from typing import Any

from flask import Blueprint, make_response, request
from flask.typing import ResponseReturnValue

from resale.services.items.from_label import filled_from_label
from resale.services.photos.read_label import WHERE, read_label
from resale.storage.photos.label_words import LabelPhotoError
from resale.storage.photos.pixels import PhotoError
from resale.web.bench.views import laid_out
from resale.web.bench.without_kind import bench_entry
from resale.web.core.security import FORM_BYTES
from resale.web.core.shop import current_shop

screen = Blueprint("label_photo", __name__)


@screen.url_value_preprocessor
def _room_for_a_photo(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let a photo through that is larger than a form; asked before the form is read."""
    if endpoint == "label_photo.read":
        request.max_content_length = current_shop().settings.photo_mb * 1_000_000 + FORM_BYTES


@screen.post("/bench/<kind>/label-photo")
def read(kind: str) -> ResponseReturnValue:
    """Read a photographed label, and lay the bench out with its words in the fields."""
    shop = current_shop()
    chosen = shop.kind(kind)
    entry = bench_entry(chosen, request.form, shop.money)
    wrong = request.form.get("changes_kind", "")
    file = request.files.get("photo")
    try:
        if file is None or not file.filename:
            raise PhotoError("none was picked", where=WHERE, remedy="take or pick one and send it")
        with closing(file):
            said = read_label(shop.settings, file.read())
    except (PhotoError, LabelPhotoError) as fault:
        page = laid_out(shop, chosen, entry, wrong_kind=wrong, label_fault=fault.sentence)
        return make_response(page, 422)
    filled = filled_from_label(chosen, entry, said)
    more = {"wrong_kind": wrong, "label_read": said, "label_filled": filled}
    return make_response(laid_out(shop, chosen, filled.entry, **more))
