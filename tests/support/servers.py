"""The PostgreSQL server that tests may use: RESALE_TEST_POSTGRES is its address.

The user in it may do everything there. Without the address such tests skip; under CI they fail.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import Engine, inspect, select, table, text

from resale.config.settings import Settings
from resale.storage.db.database import FILE_NAME, engine_of, records_of
from resale.storage.db.postgres_schema import engine_on_server

NAME = "RESALE_TEST_POSTGRES"
_numbers = count(1)

# All rows go and numbers begin anew: a schema as its last step left it, in a tenth of the time.
_EMPTY = """
DO $$ DECLARE one text; BEGIN
  SET LOCAL session_replication_role = replica;
  FOR one IN SELECT tablename FROM pg_tables
    WHERE schemaname = current_schema() AND tablename <> 'alembic_version'
  LOOP EXECUTE format('DELETE FROM %I', one); END LOOP;
  PERFORM setval(format('%I', sequencename)::regclass, 1, false) FROM pg_sequences
    WHERE schemaname = current_schema() AND last_value IS NOT NULL;
END $$
"""


def server_address() -> str:
    """Address of the server, or no test."""
    address = os.environ.get(NAME, "")
    if not address:
        if os.environ.get("CI") == "true":
            pytest.fail(f"{NAME} is not set: the records were not tried on PostgreSQL")
        pytest.skip(f"no PostgreSQL server; name one in {NAME}")
    return address


@contextmanager
def own_schema() -> Iterator[str]:
    """A name for a schema that nobody else has, gone in the end."""
    worker = os.environ.get("PYTEST_XDIST_WORKER", "one")
    name = f"try_{worker}_{os.getpid()}_{next(_numbers)}"
    try:
        yield name
    finally:
        drop(name)


def drop(schema: str) -> None:
    engine = engine_on_server(server_address(), schema)
    with engine.begin() as one:
        one.execute(text(f"DROP SCHEMA IF EXISTS {schema} CASCADE"))
    engine.dispose()


def emptied(schema: str) -> None:
    """Leave the schema without a row, where it is there."""
    engine = engine_on_server(server_address(), schema)
    with engine.begin() as one:
        one.execute(text(_EMPTY))
    engine.dispose()


@dataclass(frozen=True)
class Place:
    """Where a test keeps records: a folder, and a schema where they are on a server."""

    folder: Path
    schema: str = ""
    opened: list[Engine] = field(default_factory=list)

    @property
    def on_server(self) -> bool:
        return bool(self.schema)

    @property
    def said(self) -> dict[str, str]:
        """Settings that lead there."""
        if not self.schema:
            return {}
        return {"records_url": server_address(), "shop_key": self.schema}

    def settings(self, **more: object) -> Settings:
        return Settings.model_validate({"data_folder": self.folder, **self.said, **more})

    def open(self) -> Engine:
        return self._closed_later(records_of(self.settings()))

    def bare(self) -> Engine:
        """Records before the first step."""
        if not self.schema:
            return self._closed_later(engine_of(self.folder / FILE_NAME))
        drop(self.schema)
        engine = engine_on_server(server_address(), self.schema)
        with engine.begin() as one:
            one.execute(text(f"CREATE SCHEMA {self.schema}"))
        return self._closed_later(engine)

    def kept(self) -> bytes:
        """All that is kept there, to look for what should not be."""
        if not self.schema:
            files = self.folder.glob(f"{FILE_NAME}*")
            return b"".join(path.read_bytes() for path in files)
        engine = engine_on_server(server_address(), self.schema)
        with engine.connect() as one:
            names = inspect(one).get_table_names()
            rows = [one.execute(select(text("*")).select_from(table(name))).all() for name in names]
        engine.dispose()
        return repr(rows).encode()

    def close(self) -> None:
        for engine in self.opened:
            engine.dispose()

    def _closed_later(self, engine: Engine) -> Engine:
        self.opened.append(engine)
        return engine
