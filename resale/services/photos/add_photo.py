"""Adding a photo to an item."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.photos.files import remove_photos, write_photo
from resale.storage.photos.write_photos import photo_sent_before, read_upload, write_upload


def add_photo(
    records: Engine,
    settings: Settings,
    actor: Actor,
    number: str,
    content: bytes,
    *,
    at: datetime,
    signal: str = "",
    where: str = "",
) -> int:
    """Keep a photo of an item; the same one sent again is kept once.

    The file is on the disk before the row speaks of it: a crash in between leaves a file that
    nobody asks for, never a page with a hole.

    Parameters
    ----------
    records : Engine
    settings : Settings
        Of the shop: where photos lie, how many and how large they may be.
    actor : Actor
        Whoever took it.
    number : str
        Of the item.
    content : bytes
        The file as sent.
    at : datetime
        Now.
    signal : str
        Id of the sign that it shows; may be empty.
    where : str
        What to call the photo in a sentence.

    Returns
    -------
    int
        Id of the photo, whether this call kept it or an earlier one.

    Raises
    ------
    NotSavedError
        If there is no such item.
    PhotoError
        If it cannot be kept: with what is wrong and what to do.
    """
    known = photo_sent_before(records, number, content)
    if known is not None:
        return known
    upload = read_upload(records, settings, number, content, signal=signal, where=where)
    name = write_photo(settings.data_folder, upload.picture)
    try:
        with transaction(records, actor, at) as work:
            photo, fresh = write_upload(
                work.session, upload, name, most=settings.photos_most, by=actor.name, at=at
            )
            if fresh:
                work.log("added a photo", number.strip().upper(), photo=photo)
    except Exception:
        remove_photos(settings.data_folder, [name])
        raise
    if not fresh:
        remove_photos(settings.data_folder, [name])
    return photo
