"""Photos of items: kept once each, tied to a sign, looked at by a lead, removed for good."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import ColumnElement, Engine, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.shared_files import are_shared, fetch, share_bytes, unshare
from resale.storage.db.tables import ItemRow
from resale.storage.db.utc import stored
from resale.storage.items.store import NotSavedError
from resale.storage.photos.files import SIZES, Size, file_of, remove_photos, write_photo
from resale.storage.photos.pixels import SMALL_SIDE, PhotoError, Picture, picture_of

Reviewed = Literal["", "teaching", "plain"]


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


def add_photo(
    engine: Engine,
    settings: Settings,
    number: str,
    content: bytes,
    *,
    at: datetime,
    signal: str = "",
    by: str = "",
    where: str = "",
) -> int:
    """Keep a photo of an item; the same one sent again is kept once.

    The file is on the disk before the row speaks of it: a crash in between leaves a file that
    nobody asks for, never a page with a hole.

    Parameters
    ----------
    content : bytes
        The file as sent.
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
    digest = hashlib.sha256(content).hexdigest()
    with Session(engine) as session:
        item_id = _item_id(session, number)
        known = session.scalar(_same(item_id, digest))
        if known is not None:
            return known
        _check_room(session, item_id, settings.photos_most, where)
    picture = picture_of(
        content,
        most_bytes=settings.photo_mb * 1_000_000,
        most_pixels=settings.photo_megapixels * 1_000_000,
        where=where,
    )
    name = write_photo(settings.data_folder, picture)
    values = {
        "item_id": item_id,
        "name": name,
        "digest": digest,
        "signal": signal,
        "option": "",
        "width": picture.width,
        "height": picture.height,
        "by_whom": by[:60],
        "made_at": stored(at),
        "reviewed": "",
        "reviewed_by": "",
    }
    try:
        photo, ours = _keep_row(engine, values, picture, settings.photos_most, where)
    except Exception:
        remove_photos(settings.data_folder, [name])
        raise
    if not ours:
        remove_photos(settings.data_folder, [name])
    return photo


def photos_of(engine: Engine, number: str) -> tuple[Photo, ...]:
    """List the photos of an item, the oldest first."""
    wanted = _photos().where(ItemRow.number == number.strip().upper())
    with Session(engine) as session:
        return tuple(_photo(*row) for row in session.execute(wanted))


def photo_by_id(engine: Engine, photo: int) -> Photo:
    """Find a photo.

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


def show_sign(engine: Engine, photo: int, signal: str) -> None:
    """Say which sign a photo shows; one that taught another sign no longer teaches."""
    values = {
        "signal": signal,
        "option": "",
        "reviewed": "",
        "reviewed_by": "",
        "reviewed_at": None,
    }
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        session.execute(
            update(PhotoRow).where(PhotoRow.id == photo, PhotoRow.signal != signal).values(values)
        )


def review_photo(
    engine: Engine, photo: int, signal: str, option: str, *, by: str, at: datetime
) -> None:
    """Mark a photo as good for teaching, with the right option of its sign; none unmarks it.

    Raises
    ------
    PhotoError
        If it shows no sign, or another one by now.
    """
    state: Reviewed = "teaching" if option else "plain"
    values = {
        "option": option,
        "reviewed": state,
        "reviewed_by": by[:60],
        "reviewed_at": stored(at),
    }
    meant = update(PhotoRow).where(PhotoRow.id == photo, PhotoRow.signal == signal)
    if option and not signal:
        raise PhotoError("it shows no sign yet", where="Photo", remedy="say what it shows first")
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        if session.scalar(meant.values(values).returning(PhotoRow.id)) is None:
            raise PhotoError(
                "somebody said meanwhile that it shows another sign",
                where="Photo",
                remedy="load the page again",
            )


def remove_photo(engine: Engine, data_folder: Path, photo: int) -> None:
    """Remove a photo for good."""
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        names = take_rows(session, PhotoRow.id == photo)
    remove_photos(data_folder, names)


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


def take_rows(session: Session, which: ColumnElement[bool]) -> list[str]:
    """Delete rows of photos in a transaction of the caller's; give the names of their files."""
    names = list(session.scalars(delete(PhotoRow).where(which).returning(PhotoRow.name)))
    unshare(session, (file_of(name, size) for name in names for size in SIZES))
    return names


def photo_at_hand(engine: Engine, data_folder: Path, name: str, size: Size) -> Path:
    """Have the file of a photo at hand, whichever machine of the shop took it in."""
    file = file_of(name, size)
    fetch(engine, data_folder, file)
    return data_folder / file


# ---------------------------------------------------------------- rows
def _keep_row(
    engine: Engine, values: dict[str, Any], picture: Picture, most: int, where: str
) -> tuple[int, bool]:
    """Write the row, and share its files; say its id, and whether it is the one of these values."""
    item_id, digest = values["item_id"], values["digest"]
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        known = session.scalar(_same(item_id, digest))
        if known is not None:
            return known, False
        _check_room(session, item_id, most, where)
        if are_shared(engine):
            for size, content in zip(SIZES, (picture.full, picture.small), strict=True):
                share_bytes(session, file_of(values["name"], size), content)
        return session.scalars(insert(PhotoRow).values(values).returning(PhotoRow.id)).one(), True


def _same(item_id: object, digest: object) -> Select[int]:
    return select(PhotoRow.id).where(PhotoRow.item_id == item_id, PhotoRow.digest == digest)


def _check_room(session: Session, item_id: object, most: int, where: str) -> None:
    count = session.scalar(
        select(func.count()).select_from(PhotoRow).where(PhotoRow.item_id == item_id)
    )
    if (count or 0) >= most:
        raise PhotoError(
            f"{most} photos of this item are kept already",
            where=where,
            remedy="have a lead remove one that is no longer needed",
        )


def _item_id(session: Session, number: str) -> int:
    found = session.scalar(select(ItemRow.id).where(ItemRow.number == number.strip().upper()))
    if found is None:
        raise NotSavedError(
            f"no item {number.strip()[:20]!r} is saved", remedy="look for it in the list of items"
        )
    return found


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
