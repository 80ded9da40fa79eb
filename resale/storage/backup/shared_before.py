"""Files of a shop on a server that lie on one machine alone, from before they were shared."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.storage.db.photo_tables import PhotoRow
from resale.storage.db.shared_files import are_shared, share, shared_digests
from resale.storage.db.tables import ModelRun
from resale.storage.models.book_archive import BOOKS
from resale.storage.models.model_runs import MODELS
from resale.storage.photos.files import SIZES, file_of


def share_what_lies_here(records: Engine, settings: Settings) -> int:
    """Share the models, rule books and photos that the records speak of and nobody shared yet.

    Parameters
    ----------
    records : Engine
        Of the shop; where they lie in a file there is nothing to share.
    settings : Settings
        With the folder of this machine.

    Returns
    -------
    int
        Files that were shared now.
    """
    if not are_shared(records):
        return 0
    known = shared_digests(records)
    found = [
        name
        for name in _spoken_of(records, settings)
        if name not in known and (settings.data_folder / name).is_file()
    ]
    share(records, settings.data_folder, found)
    return len(found)


def _spoken_of(records: Engine, settings: Settings) -> Iterator[str]:
    folder = settings.data_folder
    with Session(records) as session:
        models = list(session.scalars(select(ModelRun.model_id)))
        photos = list(session.scalars(select(PhotoRow.name)))
    for model_id in models:
        for path in (folder / MODELS / model_id).glob("*"):
            yield path.relative_to(folder).as_posix()
    for path in (folder / BOOKS).glob("*.json"):
        yield path.relative_to(folder).as_posix()
    for name in photos:
        yield from (file_of(name, size) for size in SIZES)
