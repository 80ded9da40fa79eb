"""Opening the shop's records, brought up to date.

They are one SQLite file that survives a pulled plug, or a schema on a server (`shop_schema`).
"""

from __future__ import annotations

import logging
from functools import cache
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event

from resale.config.private import private_folder
from resale.config.settings import Settings
from resale.storage.backup.sqlite_backup import copy_online
from resale.storage.db.postgres_schema import DIALECT, engine_on_server, has_schema, make_schema
from resale.storage.db.server_faults import reached
from resale.storage.db.text_search import SQLITE_NAME

_log = logging.getLogger(__name__)

FILE_NAME = "records.db"
MIGRATIONS = Path(__file__).parent / "migrations"


def records_of(settings: Settings) -> Engine:
    """Open the records of a shop where its settings say they are, making or migrating them first.

    Raises
    ------
    ServerError
        If they are on a server that cannot be used.
    """
    address = settings.records_url.get_secret_value()
    if not address:
        return open_records(settings.data_folder)
    private_folder(settings.data_folder)
    engine = engine_on_server(address, settings.shop_key)
    try:
        with reached(engine):
            bring_up_to_date(engine, settings.data_folder, settings.shop_key)
    except BaseException:
        engine.dispose()
        raise
    return engine


def records_as_they_are(settings: Settings) -> Engine | None:
    """Look at a shop's records without making or migrating any; None where there are none."""
    address = settings.records_url.get_secret_value()
    if not address:
        path = settings.data_folder / FILE_NAME
        return engine_of(path) if path.is_file() else None
    engine = engine_on_server(address, settings.shop_key)
    if has_schema(engine):
        return engine
    engine.dispose()
    return None


def open_records(folder: Path) -> Engine:
    """Open the records that lie in a data folder, making or migrating them first.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    """
    private_folder(folder)
    engine = engine_of(folder / FILE_NAME)
    bring_up_to_date(engine, folder)
    return engine


def engine_of(path: Path) -> Engine:
    """Make an engine whose every connection writes through to the disk before it says so."""
    engine = create_engine(
        f"sqlite:///{path}",
        connect_args={"timeout": 15},
        # Else a fault in the log holds what was to be written: names, digests of tokens.
        hide_parameters=True,
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: Any) -> None:
    # The driver's own begin comes too late for a read that leads to a write; ours is sent instead.
    connection.isolation_level = None
    connection.create_function(SQLITE_NAME, 1, str.lower, deterministic=True)
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    # A Mac lets the drive hold back what was synced unless it is told not to; others pass over it.
    cursor.execute("PRAGMA fullfsync = ON")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    # A lone read is a transaction of its own; it is asked before every answer.
    if options.get("one_read"):
        return
    writes = options.get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def migration_config() -> Config:
    """Where the migrations are, without an ini file."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.set_main_option("recursive_version_locations", "true")
    return config


@cache
def newest_step() -> str | None:
    """Name of the last migration; which there are does not change while the program runs."""
    return ScriptDirectory.from_config(migration_config()).get_current_head()


def is_of_today(engine: Engine) -> bool:
    """Whether the records have taken the last step that this program knows, and no further one."""
    with engine.connect() as connection:
        now = MigrationContext.configure(connection).get_current_revision()
    return now == newest_step()


def bring_up_to_date(engine: Engine, folder: Path, schema: str = "") -> None:
    """Take every migration that is still to come; copy a file of records first if there are any.

    Parameters
    ----------
    folder : Path
        Where the copy goes.
    schema : str
        On a server: where the tables go.
    """
    config, head = migration_config(), newest_step()
    with engine.connect() as connection:
        now = MigrationContext.configure(connection).get_current_revision()
    if now == head:
        return
    if now is not None:
        _keep(engine, folder, f"{now} to {head}", str(head))
    # Whoever comes second waits for the first, and then finds nothing left to do.
    with engine.execution_options(writes=True).begin() as connection:
        if schema:
            make_schema(connection, schema)
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def _keep(engine: Engine, folder: Path, steps: str, head: str) -> None:
    if engine.dialect.name == DIALECT:
        # All steps are one transaction there: they are taken together or not at all.
        _log.warning(
            "The records on the server go from step %s; copies of them are made with pg_dump.",
            steps,
        )
        return
    copy_online(engine, folder / f"records-before-{head}.db")
