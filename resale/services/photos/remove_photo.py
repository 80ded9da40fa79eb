"""Removing a photo for good."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.photos.files import remove_photos
from resale.storage.photos.photos import Photo
from resale.storage.photos.write_photos import take_rows


def remove_photo(
    records: Engine, data_folder: Path, actor: Actor, photo: Photo, at: datetime
) -> None:
    """Remove a photo for good: the row, then its files.

    Parameters
    ----------
    records : Engine
    data_folder : Path
        Of the shop, where the photos lie.
    actor : Actor
        Whoever removes it.
    photo : Photo
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        names = take_rows(work.session, PhotoRow.id == photo.id)
        work.log("removed a photo", photo.number, photo=photo.id)
    remove_photos(data_folder, names)
