"""Which prices, rules and settings hold now: one small question, and two looks at files.

Rows that say so are only ever added, so the newest of each kind are the version: it cannot be
forgotten by whoever writes one. A process that follows an older version reads everything anew.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Engine, func, select

from resale.config.settings import FILE_NAME, Settings
from resale.storage.db.shared_tables import RuleChangeRow, SharedFileRow
from resale.storage.db.tables import ModelSwitch
from resale.storage.models.model_files import MANIFEST
from resale.storage.models.model_runs import MODELS

OWN_MANIFEST = f"{MODELS}/{MANIFEST}"


class Version(NamedTuple):
    """What prices and rules rest on.

    Attributes
    ----------
    switch, change : int
        The newest switch of models and the newest change of the rule book; 0 is none.
    own : str
        Which prices of a file the shop has of its own, on this machine or shared.
    settings : str
        When the file of settings was written.
    """

    switch: int
    change: int
    own: str
    settings: str


def version_in_use(records: Engine, settings: Settings) -> Version:
    """Ask which version holds now.

    Parameters
    ----------
    records : Engine
    settings : Settings

    Returns
    -------
    Version
        Equal as long as prices and rules rest on the same.
    """
    shared = select(SharedFileRow.sha256).where(SharedFileRow.name == OWN_MANIFEST)
    query = select(
        select(func.max(ModelSwitch.id)).scalar_subquery(),
        select(func.max(RuleChangeRow.id)).scalar_subquery(),
        shared.scalar_subquery(),
    )
    with records.connect() as connection:
        switch, change, digest = connection.execute(query).one()
    folder = settings.data_folder
    own = digest or _stamp(folder / OWN_MANIFEST)
    return Version(switch or 0, change or 0, own, _stamp(folder / FILE_NAME))


def _stamp(path: Path) -> str:
    try:
        return str(path.stat().st_mtime_ns)
    except OSError:
        return ""
