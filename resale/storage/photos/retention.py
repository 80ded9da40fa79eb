"""How long photos are kept: those of what left the shop go, and so do files without a row."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.ledger.effective_events import last_steps
from resale.storage.ledger.ledger import OVER
from resale.storage.photos.files import remove_photos, remove_strays
from resale.storage.photos.write_photos import take_rows

# A file younger than this may still be waiting for its row.
WAITING = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Tidied:
    """What was removed.

    Attributes
    ----------
    photos : int
        Of items that were sold or passed on long enough ago.
    strays : int
        Files that no row spoke of.
    """

    photos: int
    strays: int


def tidy_photos(engine: Engine, settings: Settings, at: datetime) -> Tidied:
    """Remove photos that are kept no longer, and files that a crash left behind.

    A photo that a lead marked for teaching stays: somebody looked at what it shows.

    Parameters
    ----------
    at : datetime
        Now, in the shop's zone: its day is today.
    """
    names: list[str] = []
    if settings.photo_days:
        before = at.date() - timedelta(days=settings.photo_days)
        last = last_steps()
        gone = select(last.c.item_id).where(last.c.what.in_(OVER), last.c.day < before)
        which = PhotoRow.item_id.in_(gone) & (PhotoRow.reviewed != "teaching")
        with Session(engine.execution_options(writes=True)) as session, session.begin():
            names = take_rows(session, which)
        remove_photos(settings.data_folder, names)
    with Session(engine) as session:
        known = list(session.scalars(select(PhotoRow.name)))
    strays = remove_strays(settings.data_folder, known, (at - WAITING).timestamp())
    return Tidied(len(names), strays)
