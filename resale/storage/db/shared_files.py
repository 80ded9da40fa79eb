"""Files that several machines of a shop need: with records on a server, their bytes lie there too.

The data folder of each machine then holds copies, fetched when they are first asked for. Records
in a file lie in the folder itself, and whoever has them has its files.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import islice
from pathlib import Path

from sqlalchemy import Connection, Engine, delete, select
from sqlalchemy.orm import Session

from resale.storage.db.disk_faults import disk_faults_said
from resale.storage.db.postgres_schema import DIALECT
from resale.storage.db.shared_tables import SharedFileRow
from resale.storage.db.upsert import insert
from resale.whole_file import whole_file

AT_ONCE = 1000


def are_shared(engine: Engine | Connection) -> bool:
    """Whether several machines may have these records open, each with a folder of its own."""
    return engine.dialect.name == DIALECT


def share(engine: Engine, folder: Path, names: Iterable[str]) -> None:
    """Lay files of a data folder where every machine of the shop reaches them.

    A file of the same name that says something else takes the place of the one before.

    Parameters
    ----------
    names : iterable of str
        Within the folder, with slashes.
    """
    if not are_shared(engine):
        return
    known = shared_digests(engine)
    for name in names:
        content = (folder / name).read_bytes()
        if known.get(name) == hashlib.sha256(content).hexdigest():
            continue
        with Session(engine.execution_options(writes=True)) as session, session.begin():
            share_bytes(session, name, content)


def share_bytes(session: Session, name: str, content: bytes) -> None:
    """Lay bytes there in a transaction of the caller's.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    name : str
        Path below the data folder, with slashes.
    content : bytes
        The whole file; what was there under this name is replaced.
    """
    told = {"sha256": hashlib.sha256(content).hexdigest(), "content": content}
    session.execute(
        insert(session, SharedFileRow)
        .values(name=name, **told)
        .on_conflict_do_update(index_elements=["name"], set_=told)
    )


def shared_digests(engine: Engine, below: str = "") -> dict[str, str]:
    """SHA-256 of the files that are shared, by name.

    Parameters
    ----------
    below : str
        Only names that begin so.
    """
    named = select(SharedFileRow.name, SharedFileRow.sha256)
    wanted = named.where(SharedFileRow.name.startswith(below, autoescape=True))
    with Session(engine) as session:
        return {row.name: row.sha256 for row in session.execute(wanted)}


def fetch(engine: Engine, folder: Path, name: str) -> bool:
    """Have a file at hand in the data folder.

    Parameters
    ----------
    engine : Engine
        Of the shop; where it is a file, only what lies here counts.
    folder : Path
        The data folder of this machine.
    name : str
        Path below it, with slashes.

    Returns
    -------
    bool
        Whether it is there now.

    Raises
    ------
    DiskError
        If it cannot be written there.
    """
    path = folder / name
    if not are_shared(engine) or path.is_file():
        return path.is_file()
    with Session(engine) as session:
        content = session.scalar(select(SharedFileRow.content).where(SharedFileRow.name == name))
    if content is None:
        return False
    _write(path, content)
    return True


def fetch_anew(engine: Engine, folder: Path, name: str, digest: str) -> None:
    """Have the file of this digest at hand, in the place of another one of the same name.

    Parameters
    ----------
    engine : Engine
    folder : Path
        The data folder of this machine.
    name : str
        Path below it, with slashes.
    digest : str
        SHA-256 that the file should have, in hexadecimal.

    Raises
    ------
    DiskError
        If it cannot be written there.
    """
    path = folder / name
    with suppress(FileNotFoundError):
        if hashlib.sha256(path.read_bytes()).hexdigest() == digest:
            return
    with Session(engine) as session:
        content = session.scalar(select(SharedFileRow.content).where(SharedFileRow.name == name))
    if content is not None:
        _write(path, content)


def unshare(session: Session, names: Iterable[str]) -> None:
    """Remove files from where every machine reaches them.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    names : iterable of str
        Paths below the data folder; those that are not there are let be.
    """
    for some in _batched(names, AT_ONCE):
        session.execute(delete(SharedFileRow).where(SharedFileRow.name.in_(some)))


def _batched(names: Iterable[str], size: int) -> Iterator[list[str]]:
    """Give names in lists of at most `size`: databases bound how many one order may hold."""
    left = iter(names)
    while some := list(islice(left, size)):
        yield some


def _write(path: Path, content: bytes) -> None:
    with disk_faults_said():
        path.parent.mkdir(parents=True, exist_ok=True)
        with whole_file(path) as draft:
            draft.touch(0o600)
            draft.write_bytes(content)
