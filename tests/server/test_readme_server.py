"""The README's part on a PostgreSQL server, followed line by line by a role of its own."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from server_process import command, server
from servers import own_schema, server_address
from sqlalchemy import create_engine, make_url, text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
pytestmark = pytest.mark.skipif(
    shutil.which("psql") is None, reason="the client programs of PostgreSQL are not installed"
)


def block(name: str) -> str:
    found = re.search(rf"<!-- server: {name} -->\n```\w+\n(.*?)```", README, flags=re.S)
    assert found is not None, name
    return found[1]


class Printed:
    """What the README prints, with this server's names in the place of the invented ones."""

    def __init__(self, name: str, stick: Path) -> None:
        self.name, self.stick = name, stick
        stick.mkdir(exist_ok=True)
        self.keeper = make_url(server_address()).set(drivername="postgresql")

    def sql(self, which: str, lines: str = "") -> None:
        """Let whoever keeps the server write a block, or some lines of it."""
        lines = self._named(lines or block(which))
        words = ["psql", "--no-psqlrc", "--set=ON_ERROR_STOP=1", "--quiet"]
        ran = subprocess.run(
            [*words, self.keeper.render_as_string(hide_password=False)],
            input=lines,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ran.returncode == 0, ran.stderr

    def environment(self) -> dict[str, str]:
        """What the printed export sets."""
        exported = self._named(block("desk"))
        said = dict(re.findall(r"(RESALE_\w+)='?([^'\s]+)'?", exported))
        host = self.keeper.query.get("host") or self.keeper.host
        port = f":{self.keeper.port}" if self.keeper.port else ""
        address = said["RESALE_RECORDS_URL"]
        where = f"@/{self.name}?host={host}" if self.keeper.query else f"@{host}{port}/{self.name}"
        said["RESALE_RECORDS_URL"] = re.sub(r"@host:5432/.*", where, address)
        return said

    def resale(self, which: str, folder: Path) -> subprocess.CompletedProcess[str]:
        """Run the printed command."""
        line = self._named(block(which)).replace("/media/stick", str(self.stick))
        words = line.removeprefix(".venv/bin/resale ").split()
        words = [str(self._newest()) if word.endswith(".zip") else word for word in words]
        return command(folder, *words, **self.environment())

    def _newest(self) -> Path:
        return max(self.stick.glob("copy-*.zip"))

    def _named(self, lines: str) -> str:
        return (
            re.sub(r"\bharbour\b", self.name, lines)
            .replace("harbour_before", f"{self.name}_before")
            .replace(" shops", f" {self.name}")
            .replace("/shops", f"/{self.name}")
        )


@pytest.fixture
def printed(tmp_path: Path) -> Iterator[Printed]:
    server_address()
    with own_schema() as name:
        found = Printed(name, tmp_path / "stick")
        yield found
        engine = create_engine(
            make_url(server_address()).set(drivername="postgresql+psycopg"),
            isolation_level="AUTOCOMMIT",
        )
        with engine.connect() as one:
            one.execute(text(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)"))
            one.execute(text(f"DROP ROLE IF EXISTS {name}"))
        engine.dispose()


@pytest.mark.long
def test_the_printed_lines_open_copy_and_bring_back_a_shop(
    printed: Printed, tmp_path: Path
) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    printed.sql("keeper")
    with server(first, **printed.environment()) as desk:
        desk.become_owner()
        saved = desk.post("/bench/jacket/save", "/bench/jacket", key="0123456789abcdef0123")
        assert saved[0] == 303, saved
    kept = printed.resale("copy", first)
    assert kept.returncode == 0 and ": 1 items, " in kept.stdout, kept.stderr
    refused = printed.resale("back", second)
    assert refused.returncode == 2, refused.stdout
    assert "may not set the shop aside" in refused.stderr and "ALTER SCHEMA" in refused.stderr
    printed.sql("aside")
    back = printed.resale("back", second)
    assert back.returncode == 0 and ": 1 items, " in back.stdout, back.stderr
    with server(second, **printed.environment()) as desk:
        desk.sign_in()
        assert "Q-00001" in desk.get("/items")[1]
