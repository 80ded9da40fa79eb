"""The records of a shop on a PostgreSQL server as one file, by the server's own pg_dump.

Rows are counted in the very snapshot that is dumped (pg_export_snapshot, see
https://www.postgresql.org/docs/15/functions-admin.html#FUNCTIONS-SNAPSHOT-SYNCHRONIZATION), and
counted again in the file, so that a dump that lost a row does not pass for a copy.
"""

from __future__ import annotations

import logging
import os
import subprocess
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, cast

from sqlalchemy import Connection, Engine, make_url, text

from resale.config.settings import Settings
from resale.storage.backup.manifest import CopyError
from resale.storage.backup.totals import Totals

DUMP = "records.pgdump"
_log = logging.getLogger(__name__)
_TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = current_schema()"
_SOLD = "SELECT currency, sum(amount) FROM event WHERE what = 'sold' GROUP BY currency"
_NULL = r"\N"


def dump_records(engine: Engine, settings: Settings, target: Path) -> Totals:
    """Write the schema of a shop into a file, and count what is in it.

    Parameters
    ----------
    engine : Engine
        Records on a server.
    settings : Settings
        With the address of the server.
    target : Path
        The file to write.

    Returns
    -------
    Totals
        Rows and sums in the very snapshot that was dumped.

    Raises
    ------
    CopyError
        If pg_dump is not installed, too old for the server, or refuses.
    """
    with engine.connect() as connection:
        # One moment for what is counted and what is written.
        snapshot = connection.scalar(text("SELECT pg_export_snapshot()"))
        totals = _totals(connection)
        run(
            "pg_dump",
            settings,
            "--format=custom",
            # The copy packs it, where it can still see which rows are those of yesterday.
            "--compress=0",
            f"--schema={settings.shop_key}",
            "--no-owner",
            "--no-privileges",
            f"--snapshot={snapshot}",
            f"--file={target}",
        )
    return totals


def totals_on_server(engine: Engine) -> Totals:
    """Count what a shop's schema holds."""
    with engine.connect() as connection:
        return _totals(connection)


def totals_of_dump(path: Path) -> Totals:
    """Count what a dump holds, without a server.

    Raises
    ------
    CopyError
        If it cannot be read.
    """
    counts: Counter[str] = Counter()
    sold: Counter[str] = Counter()
    revision = ""
    for table, row in _rows(path):
        counts[table] += row is not None
        if row and table == "event" and row["what"] == "sold":
            amount = row["amount"]
            sold[row["currency"]] += 0 if amount == _NULL else int(amount)
        if row and table == "alembic_version":
            revision = row["version_num"]
    return Totals(revision, dict(counts), dict(sold))


def run(program: str, settings: Settings, *words: str, named: bool = True) -> str:
    """Run a program of the server's own; the password goes in the environment, not in its words.

    Parameters
    ----------
    named : bool
        Whether it is told the database; a dump is read without one.

    Raises
    ------
    CopyError
        If it is not installed or refuses. Why stands in the log: it may name host and database.
    """
    environment, where = dict(os.environ), []
    if named:
        url = make_url(settings.records_url.get_secret_value())
        if url.password:
            environment["PGPASSWORD"] = str(url.password)
        bare = url.set(drivername="postgresql", password=None)
        where = ["--no-password", f"--dbname={bare.render_as_string()}"]
    try:
        ran = subprocess.run(  # noqa: S603 - words of ours, and names that are checked
            [program, *where, *words], env=environment, capture_output=True, text=True, check=False
        )
    except FileNotFoundError:
        raise CopyError(
            f"{program} is not installed on this machine",
            remedy="install the client programs of PostgreSQL, of the server's version or newer",
        ) from None
    if ran.returncode:
        _log.error("%s: %s", program, ran.stderr.strip())
        raise CopyError(
            f"{program} refused ({_kind_of(ran.stderr)})",
            where="records_url",
            remedy="look at what the program wrote where it was started",
        )
    return ran.stdout


def _kind_of(message: str) -> str:
    known = {
        "server version mismatch": "it is older than the server: install a newer one",
        "permission denied": "the role in the address may not do that",
        "does not exist": "something that it was to read is not there",
        "No space left": "the disk is full",
    }
    return next((words for sign, words in known.items() if sign in message), "the log says why")


def _totals(connection: Connection) -> Totals:
    names = sorted(connection.scalars(text(_TABLES)))
    counts = {
        # The names are the schema's own, not a stranger's.
        name: int(connection.scalar(text(f'SELECT count(*) FROM "{name}"')) or 0)  # noqa: S608
        for name in names
    }
    sold = {}
    if "event" in counts:
        sold = {code: int(amount or 0) for code, amount in connection.execute(text(_SOLD))}
    revision = ""
    if counts.get("alembic_version"):
        revision = str(connection.scalar(text("SELECT version_num FROM alembic_version")))
    return Totals(revision, counts, sold)


def _rows(path: Path) -> Iterator[tuple[str, dict[str, str] | None]]:
    """Give the rows of a dump as text, by table; a table alone first, for those without a row."""
    with _as_text(path) as lines:
        table: str = ""
        columns: list[str] = []
        for line in lines:
            if not table and line.startswith("COPY "):
                table, columns = _heading(line)
                yield table, None
            elif table and line == "\\.":
                table = ""
            elif table:
                yield table, dict(zip(columns, line.split("\t"), strict=True))


def _heading(line: str) -> tuple[str, list[str]]:
    """Take ``COPY harbour.event (id, what) FROM stdin;`` apart."""
    name, _, rest = line.removeprefix("COPY ").partition(" (")
    columns = rest.partition(")")[0].split(", ")
    return name.rpartition(".")[2].strip('"'), [column.strip('"') for column in columns]


@contextmanager
def _as_text(path: Path) -> Iterator[Iterator[str]]:
    words = ["pg_restore", "--data-only", "--file=-", str(path)]
    try:
        reading = subprocess.Popen(  # noqa: S603 - words of ours
            words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8"
        )
    except FileNotFoundError:
        raise CopyError(
            "pg_restore is not installed on this machine, so the copy cannot be read through",
            remedy="install the client programs of PostgreSQL",
        ) from None
    with reading:
        lines, trouble = cast("IO[str]", reading.stdout), cast("IO[str]", reading.stderr)
        yield (line.removesuffix("\n") for line in lines)
        message = trouble.read()
        if reading.wait():
            _log.error("pg_restore: %s", message.strip())
            raise CopyError("the records in the copy cannot be read", remedy="take another copy")
