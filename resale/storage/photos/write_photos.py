"""What is written of photos: a new one, the sign it shows, a lead's look, and that it is gone."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import ColumnElement, Engine, Select, delete, func, insert, select, update
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.shared_files import are_shared, share_bytes, unshare
from resale.storage.db.tables import ItemRow
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, writing
from resale.storage.items.store import NotSavedError
from resale.storage.photos.files import SIZES, file_of
from resale.storage.photos.pixels import PhotoError, Picture, picture_of

Reviewed = Literal["", "teaching", "plain"]


@dataclass(frozen=True, slots=True)
class Upload:
    """A photo as it was sent, looked through and not yet kept.

    Attributes
    ----------
    digest : str
        Of the file as sent, by which the same one is known again.
    where : str
        What to call it in a sentence.
    """

    item_id: int
    digest: str
    picture: Picture
    signal: str
    where: str


def photo_sent_before(engine: Engine, number: str, content: bytes) -> int | None:
    """Find the photo of an item that has these very bytes; None where there is none.

    Parameters
    ----------
    number : str
        Of the item.
    content : bytes
        The file as sent.

    Raises
    ------
    NotSavedError
        If there is no such item.
    """
    with Session(engine) as session:
        return session.scalar(_same(_item_id(session, number), _digest(content)))


def read_upload(
    engine: Engine, settings: Settings, number: str, content: bytes, *, signal: str, where: str
) -> Upload:
    """Look a photo through before it is kept: whether there is room for it, and its pixels.

    Parameters
    ----------
    number : str
        Of its item.
    content : bytes
        The file as sent.
    signal : str
        Id of the sign that it shows; may be empty.
    where : str
        What to call the photo in a sentence.

    Raises
    ------
    NotSavedError
        If there is no such item.
    PhotoError
        If it cannot be kept: with what is wrong and what to do.
    """
    with Session(engine) as session:
        item_id = _item_id(session, number)
        _check_room(session, item_id, settings.photos_most, where)
    picture = picture_of(
        content,
        most_bytes=settings.photo_mb * 1_000_000,
        most_pixels=settings.photo_megapixels * 1_000_000,
        where=where,
    )
    return Upload(item_id, _digest(content), picture, signal, where)


def write_upload(
    session: Session, upload: Upload, name: str, *, most: int, by: str, at: datetime
) -> tuple[int, bool]:
    """Write the row of a photo whose files are there, and share them where they are shared.

    Parameters
    ----------
    name : str
        Of its files.
    most : int
        Photos that an item may have.
    by : str
        Name of whoever took it.

    Returns
    -------
    (int, bool)
        Id of the photo, and whether it is new: the same one sent again is kept once.

    Raises
    ------
    PhotoError
        If the item has so many by now.
    """
    known = session.scalar(_same(upload.item_id, upload.digest))
    if known is not None:
        return known, False
    _check_room(session, upload.item_id, most, upload.where)
    picture = upload.picture
    if are_shared(session.get_bind()):
        for size, content in zip(SIZES, (picture.full, picture.small), strict=True):
            share_bytes(session, file_of(name, size), content)
    row = {
        "item_id": upload.item_id,
        "name": name,
        "digest": upload.digest,
        "signal": upload.signal,
        "option": "",
        "width": picture.width,
        "height": picture.height,
        "by_whom": by[:60],
        "made_at": stored(at),
        "reviewed": "",
        "reviewed_by": "",
    }
    return session.scalars(insert(PhotoRow).values(row).returning(PhotoRow.id)).one(), True


def show_sign(records: Records, photo: int, signal: str) -> None:
    """Say which sign a photo shows; one that taught another sign no longer teaches.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    photo : int
        Its id.
    signal : str
        Id of the sign; empty for none.
    """
    values = {
        "signal": signal,
        "option": "",
        "reviewed": "",
        "reviewed_by": "",
        "reviewed_at": None,
    }
    with writing(records) as session:
        session.execute(
            update(PhotoRow).where(PhotoRow.id == photo, PhotoRow.signal != signal).values(values)
        )


def put_in_front(records: Records, photo: int) -> None:
    """Let a photo stand for its item; the one that did no longer does.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    photo : int
        Its id.
    """
    with writing(records) as session:
        item = select(PhotoRow.item_id).where(PhotoRow.id == photo).scalar_subquery()
        session.execute(
            update(PhotoRow)
            .where(PhotoRow.item_id == item)
            .values(in_front=PhotoRow.id == photo)
            .execution_options(synchronize_session=False)
        )


def review_photo(
    records: Records, photo: int, signal: str, option: str, *, by: str, at: datetime
) -> None:
    """Mark a photo as good for teaching, with the right option of its sign; none unmarks it.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    photo : int
        Its id.
    signal : str
        Id of the sign that it should show.
    option : str
        Id of the right option; empty to unmark it.
    by : str
        Name of the lead who looked at it.
    at : datetime
        Now, with its zone.

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
    with writing(records) as session:
        if session.scalar(meant.values(values).returning(PhotoRow.id)) is None:
            raise PhotoError(
                "somebody said meanwhile that it shows another sign",
                where="Photo",
                remedy="load the page again",
            )


def take_rows(session: Session, which: ColumnElement[bool]) -> list[str]:
    """Delete rows of photos in a transaction of the caller's; give the names of their files.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    which : condition
        Of the rows of photos.

    Returns
    -------
    list of str
    """
    names = list(session.scalars(delete(PhotoRow).where(which).returning(PhotoRow.name)))
    unshare(session, (file_of(name, size) for name in names for size in SIZES))
    return names


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


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
