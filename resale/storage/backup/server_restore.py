"""Bringing a copy back to a PostgreSQL server: its schema, and the data folder beside it.

What stood there is set aside under another name, schema and folder alike. Nothing is removed.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, text
from sqlalchemy.exc import ProgrammingError
from sqlalchemy.schema import CreateSchema

from resale.config.settings import Settings
from resale.storage.backup.manifest import CopyError, CopyManifest
from resale.storage.backup.restore import Restored, change_places, to_disk
from resale.storage.backup.server_dump import DUMP, run, totals_on_server
from resale.storage.backup.verify import check_records, check_totals, opened, unpack
from resale.storage.db.database import bring_up_to_date
from resale.storage.db.disk_faults import disk_faults_said
from resale.storage.db.postgres_schema import engine_on_server
from resale.storage.db.server_faults import reached

_OTHERS = text(
    "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
    "AND application_name = :name AND pid <> pg_backend_pid()"
)


def restore_to_server(path: Path, settings: Settings, at: datetime) -> Restored:
    """Bring a copy back to the server that the settings name.

    Parameters
    ----------
    path : Path
        A copy of records on a server.
    settings : Settings
        Of the shop: address, key and data folder.
    at : datetime
        Now, in the shop's zone: it names what is set aside.

    Raises
    ------
    CopyError
        If the copy was altered or belongs elsewhere, the shop is open, or the role may not.
    """
    folder = settings.data_folder.resolve()
    engine = engine_on_server(settings.records_url.get_secret_value(), settings.shop_key)
    try:
        with disk_faults_said(), opened(path) as copy, reached(engine):
            manifest = copy.manifest
            _belongs_here(manifest, settings, path.name)
            folder.parent.mkdir(parents=True, exist_ok=True)
            stage = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
            try:
                for name in manifest.files:
                    unpack(copy, name, stage / name)
                check_records(stage, manifest, path.name)
                dump = shutil.move(stage / DUMP, tempfile.mkdtemp(dir=stage.parent))
                try:
                    to_disk(stage)
                    aside = _places_changed(engine, settings, Path(dump), manifest, stage, at)
                finally:
                    shutil.rmtree(Path(dump).parent, ignore_errors=True)
            finally:
                shutil.rmtree(stage, ignore_errors=True)
    finally:
        engine.dispose()
    return Restored(folder, manifest, aside)


def _places_changed(
    engine: Engine,
    settings: Settings,
    dump: Path,
    manifest: CopyManifest,
    stage: Path,
    at: datetime,
) -> Path | None:
    with _schema_aside(engine, settings.shop_key, at):
        # The schema is there and empty: its own line in the dump would want to make it again.
        listed = run("pg_restore", settings, "--list", str(dump), named=False)
        order = dump.with_name("order")
        order.write_text(
            "\n".join(line for line in listed.splitlines() if " SCHEMA - " not in line) + "\n"
        )
        run(
            "pg_restore",
            settings,
            "--no-owner",
            "--no-privileges",
            "--exit-on-error",
            "--single-transaction",
            f"--use-list={order}",
            str(dump),
        )
        check_totals(totals_on_server(engine), manifest, dump.name)
        bring_up_to_date(engine, settings.data_folder.parent, settings.shop_key)
        return change_places(stage, settings.data_folder.resolve(), at)


@contextmanager
def _schema_aside(engine: Engine, key: str, at: datetime) -> Iterator[None]:
    """Set the schema of a shop aside and make an empty one; put it back if what follows fails."""
    aside = f"{key}_aside_{at:%Y%m%d%H%M%S}"
    _see_that_it_is_closed(engine, key)
    try:
        with engine.begin() as connection:
            stood = _is_there(connection, key) and not _is_empty(connection)
            if stood:
                connection.execute(text(f"ALTER SCHEMA {key} RENAME TO {aside}"))
            if not _is_there(connection, key):
                connection.execute(CreateSchema(key))
    except ProgrammingError:
        raise CopyError(
            "the role in the address may not set the shop aside, and nothing was brought back",
            where="records_url",
            remedy=f"have whoever keeps the server write: ALTER SCHEMA {key} RENAME TO {aside}; "
            f"CREATE SCHEMA {key} AUTHORIZATION that role; then bring the copy back",
        ) from None
    try:
        yield
    except BaseException:
        with engine.begin() as connection:
            connection.execute(text(f"DROP SCHEMA {key} CASCADE"))
            back = f"ALTER SCHEMA {aside} RENAME TO {key}" if stood else f"CREATE SCHEMA {key}"
            connection.execute(text(back))
        raise


def _is_there(connection: Connection, key: str) -> bool:
    return connection.scalar(text("SELECT to_regnamespace(:key)"), {"key": key}) is not None


def _is_empty(connection: Connection) -> bool:
    tables = text("SELECT count(*) FROM pg_tables WHERE schemaname = current_schema()")
    return not connection.scalar(tables)


def _see_that_it_is_closed(engine: Engine, key: str) -> None:
    engine.dispose()
    with engine.connect() as connection:
        if connection.scalar(_OTHERS, {"name": f"resale {key}"}):
            raise CopyError(
                "the shop is open somewhere, and nothing was brought back",
                remedy="close it on every machine, and bring the copy back then",
            )


def _belongs_here(manifest: CopyManifest, settings: Settings, copy: str) -> None:
    if not manifest.shop_key:
        raise CopyError(
            "the records in this copy are a file, and this shop keeps its own on a server",
            where=copy,
            remedy="take records_url away first, or name a folder without it",
        )
    if manifest.shop_key != settings.shop_key:
        raise CopyError(
            f"the copy is of shop_key {manifest.shop_key!r}, and the settings name "
            f"{settings.shop_key!r}",
            where=copy,
            remedy=f"set shop_key = {manifest.shop_key!r} to bring it back",
        )
