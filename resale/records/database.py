"""Opening the shop's records: one SQLite file that survives a pulled plug, brought up to date."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, text

FILE_NAME = "records.db"
MIGRATIONS = Path(__file__).parent / "migrations"


def open_records(folder: Path) -> Engine:
    """Open the records of a data folder, making or migrating them first.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    """
    folder.mkdir(parents=True, exist_ok=True)
    engine = engine_of(folder / FILE_NAME)
    bring_up_to_date(engine, folder)
    return engine


def engine_of(path: Path) -> Engine:
    """Make an engine whose every connection writes through to the disk before it says so."""
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": 15})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _prepare(connection: Any, _record: Any) -> None:
    # The driver's own begin comes too late for a read that leads to a write; ours is sent instead.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def migration_config() -> Config:
    """Where the migrations are, without an ini file."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def bring_up_to_date(engine: Engine, folder: Path) -> None:
    """Take every migration that is still to come; copy the records first if there are any."""
    config = migration_config()
    head = ScriptDirectory.from_config(config).get_current_head()
    with engine.connect() as connection:
        now = MigrationContext.configure(connection).get_current_revision()
    if now == head:
        return
    if now is not None:
        _copy(engine, folder / f"records-before-{head}.db")
    with engine.execution_options(writes=True).begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def _copy(engine: Engine, target: Path) -> None:
    target.unlink(missing_ok=True)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(text("VACUUM INTO :target"), {"target": str(target)})
