"""Photos of items as they are kept: listed, found, and their files had at hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.shared_files import fetch
from resale.storage.db.tables import ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.photos.files import Size, file_of
from resale.storage.photos.pixels import SMALL_SIDE


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as it is kept.

    Attributes
    ----------
    number, kind : str
        Of its item.
    name : str
        Of its files, see `resale.storage.photos.files.photo_path`.
    signal, option : str
        The sign that it shows, and the right answer where it teaches; may be empty.
    """

    id: int
    number: str
    kind: str
    name: str
    signal: str
    option: str
    width: int
    height: int
    by: str
    made_at: datetime
    reviewed: str
    reviewed_by: str

    @property
    def small_size(self) -> tuple[int, int]:
        """Width and height of the thumbnail, so that a page keeps room for it."""
        less = min(1.0, SMALL_SIDE / max(self.width, self.height))
        return max(1, round(self.width * less)), max(1, round(self.height * less))


@dataclass(frozen=True, slots=True)
class TeachingPhoto:
    """A photo that a lead found good for teaching.

    Attributes
    ----------
    signal, option : str
        What is asked, and the right answer.
    file : str
        Below the data folder.
    """

    id: int
    kind: str
    signal: str
    option: str
    file: str


def photos_of(engine: Engine, number: str) -> tuple[Photo, ...]:
    """List the photos of an item: the one that was put in front, then the oldest first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    number : str
        Of the item.

    Returns
    -------
    tuple of Photo
    """
    wanted = _photos().where(ItemRow.number == number.strip().upper()).order_by(None)
    wanted = wanted.order_by(PhotoRow.in_front.desc(), PhotoRow.id)
    with Session(engine) as session:
        return tuple(_photo(*row) for row in session.execute(wanted))


def photo_by_id(engine: Engine, photo: int) -> Photo:
    """Find a photo.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    photo : int
        Its id.

    Returns
    -------
    Photo

    Raises
    ------
    NotSavedError
        If it is not there, or no longer.
    """
    # A number that no column holds is no photo either.
    wanted = _photos().where(PhotoRow.id == min(photo, 2**31 - 1))
    with Session(engine) as session:
        row = session.execute(wanted).one_or_none()
        if row is None:
            raise NotSavedError(
                "this photo is not kept, or no longer", remedy="look at the item's own page"
            )
        return _photo(*row)


def photos_for_teaching(records: Engine) -> tuple[TeachingPhoto, ...]:
    """List the photos that leads found good for teaching, the oldest first.

    Signal and option are those of the rule book of the day on which the lead looked; whoever asks
    leaves out what the book no longer has.
    """
    with Session(records) as session:
        found = [_photo(*row) for row in session.execute(_photos())]
    return tuple(
        TeachingPhoto(one.id, one.kind, one.signal, one.option, file_of(one.name, "full"))
        for one in found
        if one.reviewed == "teaching"
    )


def photo_at_hand(engine: Engine, data_folder: Path, name: str, size: Size) -> Path:
    """Have the file of a photo at hand, whichever machine of the shop took it in.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    data_folder : Path
        Of this machine.
    name : str
        As it was drawn.
    size : str
        ``full`` or ``small``.

    Returns
    -------
    Path
    """
    file = file_of(name, size)
    fetch(engine, data_folder, file)
    return data_folder / file


def _photos() -> Select[PhotoRow, str, str]:
    return (
        select(PhotoRow, ItemRow.number, ItemRow.kind)
        .join(ItemRow, ItemRow.id == PhotoRow.item_id)
        .order_by(PhotoRow.id)
    )


def _photo(row: PhotoRow, number: str, kind: str) -> Photo:
    return Photo(
        row.id,
        number,
        kind,
        row.name,
        row.signal,
        row.option,
        row.width,
        row.height,
        row.by_whom,
        row.made_at.replace(tzinfo=UTC),
        row.reviewed,
        row.reviewed_by,
    )
