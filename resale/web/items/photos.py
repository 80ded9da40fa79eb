"""Photos of items: added on the item's page, looked at and served one by one."""

from __future__ import annotations

import io
import logging
from contextlib import closing
from typing import Any

from flask import (
    Blueprint,
    Flask,
    Response,
    current_app,
    make_response,
    redirect,
    render_template,
    request,
    send_file,
    url_for,
)
from flask.typing import ResponseReturnValue
from sqlalchemy.exc import SQLAlchemyError

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind
from resale.services.photos.add_photo import add_photo
from resale.services.photos.remove_photo import remove_photo
from resale.services.photos.review_photo import put_in_front, review_photo, show_sign
from resale.storage.items.store import NotSavedError, item_numbered
from resale.storage.photos.files import Size
from resale.storage.photos.photos import Photo, photo_at_hand, photo_by_id
from resale.storage.photos.pixels import PhotoError
from resale.storage.photos.retention import tidy_photos
from resale.web.access.current_user import me
from resale.web.core.security import FORM_BYTES
from resale.web.core.shop import Shop, current_shop
from resale.web.items.views import item_page

screen = Blueprint("photos", __name__)
_log = logging.getLogger("resale.web")
AT_ONCE = 8
_TIDIED = "resale.photos_tidied"


@screen.url_value_preprocessor
def _room_for_photos(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let files through that are larger than a form; asked before the form is read."""
    if endpoint == "photos.add":
        request.max_content_length = _most_bytes(current_shop())


@screen.post("/items/<number>/photos")
def add(number: str) -> ResponseReturnValue:
    """Keep the photos that were sent; what cannot be kept is said, one by one."""
    shop = current_shop()
    tidy(current_app, shop)
    item = item_numbered(shop.records, number)
    signal = _sign(shop.changed.kinds.get(item.kind), request.form.get("signal", ""))
    files = [one for one in request.files.getlist("photo") if one.filename]
    faults = [] if files else ["Photos: none was picked; take or pick one and send it."]
    if len(files) > AT_ONCE:
        faults.append(f"Photos: {AT_ONCE} are taken at once; send the others after these.")
    saved = 0
    for place, file in enumerate(files[:AT_ONCE], start=1):
        where = f"Photo {place} ({_short(file.filename or '')})"
        with closing(file):
            content = file.read()
        try:
            add_photo(
                shop.records,
                shop.settings,
                me(),
                item.number,
                content,
                at=shop.now(),
                signal=signal,
                where=where,
            )
            saved += 1
        except PhotoError as fault:
            faults.append(fault.sentence)
    if faults:
        page = item_page(item.number, photo_faults=faults, photos_saved=saved, photo_signal=signal)
        return make_response(page, 422)
    return redirect(url_for("items.one", number=item.number, photos=saved) + "#photos", 303)


@screen.get("/photos/<int:photo>")
def one(photo: int) -> ResponseReturnValue:
    """Show a photo, with what it shows and what a lead makes of it."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    kind = shop.changed.kinds.get(found.kind)
    return render_template(
        "items/photo.html",
        photo=found,
        kind=kind,
        sign=kind.by_id.get(found.signal) if kind else None,
        zone_names=shop.changed.zone_names,
    )


@screen.get("/photos/<int:photo>/<any(full, small):size>.jpg")
def picture(photo: int, size: Size) -> ResponseReturnValue:
    """Give the picture itself, to this browser alone and not to be kept by it."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    try:
        path = photo_at_hand(shop.records, shop.settings.data_folder, found.name, size)
        content = path.read_bytes()
    except OSError:
        raise NotSavedError(
            "the file of this photo is gone", remedy="have a lead remove it"
        ) from None
    name = f"{found.number}-{found.id}.jpg"
    answer = send_file(io.BytesIO(content), "image/jpeg", download_name=name, etag=False)
    return _not_cached(answer)


@screen.post("/photos/<int:photo>/front")
def in_front(photo: int) -> ResponseReturnValue:
    """Let a photo stand for its item."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    put_in_front(shop.records, me(), found, shop.now())
    return redirect(url_for("items.one", number=found.number), 303)


@screen.post("/photos/<int:photo>/shows")
def shows(photo: int) -> ResponseReturnValue:
    """Say which sign a photo shows."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    kind = shop.changed.kinds.get(found.kind)
    signal = _sign(kind, request.form.get("signal", ""))
    show_sign(shop.records, me(), found, signal, shop.now())
    return redirect(url_for("photos.one", photo=found.id), 303)


@screen.post("/photos/<int:photo>/teaches")
def teaches(photo: int) -> ResponseReturnValue:
    """Mark a photo as good for teaching with the right answer, or as not."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    signal = request.form.get("signal", "")
    option = _option(shop, found, signal, request.form.get("option", ""))
    review_photo(shop.records, me(), found, signal, option, shop.now())
    return redirect(url_for("photos.one", photo=found.id), 303)


@screen.post("/photos/<int:photo>/remove")
def remove(photo: int) -> ResponseReturnValue:
    """Remove a photo for good."""
    shop = current_shop()
    found = photo_by_id(shop.records, photo)
    remove_photo(shop.records, shop.settings.data_folder, me(), found, shop.now())
    return redirect(url_for("items.one", number=found.number) + "#photos", 303)


def _most_bytes(shop: Shop) -> int:
    return shop.settings.photo_mb * 1_000_000 * AT_ONCE + FORM_BYTES


def _sign(kind: Kind | None, wanted: str) -> str:
    """A sign of the kind, or none."""
    if wanted and (kind is None or wanted not in kind.by_id):
        raise ReadingError(
            f"the rule book has no sign {wanted[:40]!r} here",
            where="Shows",
            remedy="load the page again and pick one",
        )
    return wanted


def _option(shop: Shop, photo: Photo, signal: str, wanted: str) -> str:
    kind = shop.changed.kinds.get(photo.kind)
    known = kind.by_id.get(signal) if kind else None
    if wanted and (known is None or wanted not in known.option_ids):
        raise ReadingError(
            f"its sign has no answer {wanted[:40]!r}",
            where="Right answer",
            remedy="say what the photo shows, then pick one of its answers",
        )
    return wanted


def _not_cached(answer: Response) -> Response:
    answer.headers["Cache-Control"] = "private, no-store"
    answer.headers["X-Content-Type-Options"] = "nosniff"
    return answer


def _short(name: str) -> str:
    """The end of a path as some browsers send it; only ever shown, never used."""
    return name.replace("\\", "/").rpartition("/")[2][:40]


def tidy(app: Flask, shop: Shop) -> None:
    """Remove what is kept no longer, once a day: at the start, and in a shop that never closes.

    Parameters
    ----------
    app : Flask
        Remembers on which day it was done last.
    shop : Shop
        For what is kept how long.
    """
    today = shop.here().date()
    if app.extensions.get(_TIDIED) == today:
        return
    app.extensions[_TIDIED] = today
    try:
        tidy_photos(shop.records, shop.settings, shop.here())
    except (OSError, SQLAlchemyError):
        # Nobody waits for this: it is no reason to keep a shop shut. `resale tidy-photos` says why.
        _log.warning("photos could not be tidied", exc_info=True)
