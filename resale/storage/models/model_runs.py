"""Models that were fitted to the ledger, and which of them holds: switched to, never edited."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, insert, inspect, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.errors import ModelFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.spread_words import left_with_every_sign
from resale.storage.db.shared_files import fetch, share, shared_digests
from resale.storage.db.tables import ModelRun, ModelSwitch
from resale.storage.db.utc import stored
from resale.storage.models.model_files import MANIFEST, load_model, read_manifest

MODELS = "models"
OF_CHAIN = "chain "
"""What the fingerprint of sales begins with where they are those of all shops of a chain."""


@dataclass(frozen=True)
class FittedModel:
    """A model that was fitted to the ledger.

    Attributes
    ----------
    folder : Path
        Where its files are.
    data : str
        Fingerprint of the sales it rests on.
    noise : float
        Standard deviation of log price that is left once everything is looked at.
    current : bool
        Whether prices follow it now.
    spread : float or None
        How far its sales lay from their prices as they were read, signs or none; None of fits that
        did not keep it.
    """

    model_id: str
    folder: Path
    note: str
    book_version: str
    book_fingerprint: str
    data: str
    sales: int
    noise: float
    made_at: datetime
    current: bool
    spread: float | None = None

    @property
    def of_chain(self) -> bool:
        """Whether it was learned from all shops of a chain."""
        return self.data.startswith(OF_CHAIN)

    @property
    def left(self) -> float | None:
        """What would be left of the spread with every sign; None where it cannot be told."""
        return left_with_every_sign(self.spread, self.noise)


def model_folder(settings: Settings, model_id: str) -> Path:
    """Where the files of a model are kept for good.

    Parameters
    ----------
    settings : Settings
    model_id : str
        Its short name.

    Returns
    -------
    Path
    """
    return settings.data_folder / MODELS / model_id


def model_at_hand(records: Engine, settings: Settings, model_id: str) -> Path:
    """Have the files of a model at hand, whichever machine of the shop learned it.

    Parameters
    ----------
    records : Engine
    settings : Settings
        With the folder of this machine.
    model_id : str
        Its short name.

    Returns
    -------
    Path
        The folder; it is not there where nobody kept that model.
    """
    folder = model_folder(settings, model_id)
    if not (folder / MANIFEST).is_file():
        names = shared_digests(records, f"{MODELS}/{model_id}/")
        # The manifest comes last: until then there is no model.
        for name in sorted(names, key=lambda one: one.endswith(MANIFEST)):
            fetch(records, settings.data_folder, name)
    return folder


def share_model(records: Engine, settings: Settings, folder: Path) -> None:
    """Lay a model of the data folder where every machine of the shop reaches it.

    Parameters
    ----------
    records : Engine
        Of the shop; where they lie in a file there is nothing to share.
    settings : Settings
    folder : Path
        Of the model, below the data folder.
    """
    manifest = read_manifest(folder)
    below = folder.relative_to(settings.data_folder).as_posix()
    share(records, settings.data_folder, [f"{below}/{manifest.file}", f"{below}/{MANIFEST}"])


def fitted_models(engine: Engine, settings: Settings) -> tuple[FittedModel, ...]:
    """List the models of the ledger, the newest first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    settings : Settings

    Returns
    -------
    tuple of FittedModel
    """
    with Session(engine) as session:
        now = _current(session)
        rows = session.scalars(select(ModelRun).order_by(ModelRun.id.desc()))
        return tuple(
            FittedModel(
                row.model_id,
                settings.data_folder / row.folder,
                row.note,
                row.book_version,
                row.book_fingerprint,
                row.data,
                row.sales,
                row.noise,
                row.made_at.replace(tzinfo=UTC),
                row.model_id == now,
                row.spread,
            )
            for row in rows
        )


def current_model_id(engine: Engine) -> str | None:
    """Id of the model that was switched to last; None where prices come from elsewhere."""
    if not inspect(engine).has_table(ModelSwitch.__tablename__):
        # Records of an earlier version, looked at before they are brought up to date.
        return None
    with Session(engine) as session:
        return _current(session)


def check_model(engine: Engine, settings: Settings, book: RuleBook, model_id: str) -> None:
    """See that prices can follow a model of the ledger.

    Parameters
    ----------
    book : RuleBook
        That it is to be used with.

    Raises
    ------
    ModelFileError
        If there is no such model, or it cannot be used with that rule book.
    """
    known = [model.model_id for model in fitted_models(engine, settings)]
    if model_id not in known:
        raise ModelFileError(
            f"no model {model_id[:20]!r} was fitted here",
            remedy="pick one of the list" if known else "fit one first",
        )
    load_model(model_at_hand(engine, settings, model_id), book)


def write_switch(session: Session, model_id: str | None, at: datetime, by: str) -> None:
    """Let prices follow another model of the ledger from now on; stored valuations stay.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    model_id : str or None
        None goes back to what held before the ledger had models.
    by : str
        Name of whoever switches.
    """
    switch = insert(ModelSwitch).values(model_id=model_id, by_whom=by, made_at=stored(at))
    session.execute(switch)


def register(session: Session, found: FittedModel, at: datetime, by: str) -> None:
    """Write down a fitted model, once, and switch to it.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    found : FittedModel
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever does it.
    """
    made_at = stored(at)
    known = select(ModelRun.id).where(ModelRun.model_id == found.model_id)
    if session.scalar(known) is None:
        session.execute(
            insert(ModelRun).values(
                model_id=found.model_id,
                folder=f"{MODELS}/{found.model_id}",
                note=found.note,
                book_version=found.book_version,
                book_fingerprint=found.book_fingerprint,
                data=found.data,
                sales=found.sales,
                noise=found.noise,
                spread=found.spread,
                made_at=made_at,
            )
        )
    if _current(session) != found.model_id:
        write_switch(session, found.model_id, at, by)


def store_model(settings: Settings, folder: Path) -> Path:
    """Keep a copy of a model in use beside those of the ledger, for replay.

    Parameters
    ----------
    folder : Path
        Where the model lies now: the shop's own folder, or the one that comes with the program.

    Raises
    ------
    ModelFileError
        If the copy cannot be written.
    """
    manifest = read_manifest(folder)
    place = model_folder(settings, manifest.model_id)
    if not (place / MANIFEST).is_file():
        draft = place.with_name(f".{manifest.model_id}.part")
        try:
            shutil.rmtree(draft, ignore_errors=True)
            draft.mkdir(parents=True)
            for name in (manifest.file, MANIFEST):
                shutil.copy(folder / name, draft / name)
            draft.replace(place)
        except OSError as fault:
            raise ModelFileError(
                f"a copy of the model cannot be kept ({fault.strerror})",
                where=str(place),
                remedy="make room there, or choose a data folder that you may write to",
            ) from None
    return place


def _current(session: Session) -> str | None:
    newest = select(ModelSwitch.model_id).order_by(ModelSwitch.id.desc()).limit(1)
    return session.scalar(newest)
