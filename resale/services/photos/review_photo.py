"""What a photo shows: its sign, the whole item, and a lead's word whether it is good to teach."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.photos.photos import Photo
from resale.storage.photos.write_photos import put_in_front as write_in_front
from resale.storage.photos.write_photos import review_photo as write_review
from resale.storage.photos.write_photos import show_sign as write_sign


def show_sign(records: Engine, actor: Actor, photo: Photo, signal: str, at: datetime) -> None:
    """Say which sign a photo shows; one that taught another sign no longer teaches.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever says it.
    photo : Photo
    signal : str
        Id of the sign; empty for none.
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        write_sign(work.session, photo.id, signal)
        work.log("said what a photo shows", photo.number, photo=photo.id, signal=signal)


def put_in_front(records: Engine, actor: Actor, photo: Photo, at: datetime) -> None:
    """Let a photo stand for its item, in the place of the one that did.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever chose it.
    photo : Photo
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        write_in_front(work.session, photo.id)
        work.log("chose the photo in front", photo.number, photo=photo.id)


def review_photo(
    records: Engine, actor: Actor, photo: Photo, signal: str, option: str, at: datetime
) -> None:
    """Mark a photo as good for teaching, with the right option of its sign; none unmarks it.

    Parameters
    ----------
    records : Engine
    actor : Actor
        The lead who looked.
    photo : Photo
    signal : str
        Id of the sign that the lead saw it show.
    option : str
        Id of the right answer; empty where it is not for teaching.
    at : datetime
        Now.

    Raises
    ------
    PhotoError
        If it shows no sign, or another one by now.
    """
    with transaction(records, actor, at) as work:
        write_review(work.session, photo.id, signal, option, by=actor.name, at=at)
        work.log(
            "looked whether a photo is good for teaching",
            photo.number,
            photo=photo.id,
            signal=signal,
            option=option,
        )
