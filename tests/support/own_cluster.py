"""A PostgreSQL server of a test's own, to be stopped and started as its keeper does."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

SETTINGS = "-c listen_addresses= -c fsync=off -c full_page_writes=off"


@dataclass(frozen=True)
class Cluster:
    """A server that listens on a socket in its folder."""

    place: Path
    programs: Path

    @property
    def address(self) -> str:
        return f"postgresql://postgres@/postgres?host={self.place}"

    def start(self) -> None:
        self._ctl("start", "-l", str(self.place / "log"), "-o", f"-k {self.place} {SETTINGS}")

    def stop(self) -> None:
        """Stop it under the feet of whoever is connected, without waiting for them."""
        self._ctl("stop", "-m", "fast")

    def _ctl(self, order: str, *more: str) -> None:
        place = str(self.place / "data")
        self.run("pg_ctl", "-D", place, "-s", "-w", *more, order)

    def run(self, program: str, *words: str) -> None:
        """Run one of the server's programs as whoever may: it refuses the machine's own master."""
        who = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
        subprocess.run(
            [*who, str(self.programs / program), *words],
            check=True,
            cwd=self.place,
            stdout=subprocess.DEVNULL,
        )


@contextmanager
def own_cluster() -> Iterator[Cluster]:
    """Lay a server out, start it, and stop it in the end."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not found:
        pytest.skip("the programs of a PostgreSQL server are not installed; .ci/run gets them")
    # The path of a socket may have some hundred characters, and a test's own folder has more.
    with tempfile.TemporaryDirectory(dir="/tmp") as name:
        place = Path(name)
        if os.geteuid() == 0:
            shutil.chown(place, "postgres")
        place.chmod(0o755)
        cluster = Cluster(place, found[-1].parent)
        words = ("-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
        cluster.run("initdb", "-D", str(place / "data"), *words)
        cluster.start()
        try:
            yield cluster
        finally:
            cluster.stop()
