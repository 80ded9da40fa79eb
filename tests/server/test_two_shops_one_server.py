"""Two shops in one PostgreSQL database, set up by the README's lines alone, through a bad week.

One shop has two machines. Prices learned by a command on the first are followed on the second and
not by the other shop; a machine dies in the middle; the database is stopped and started again.
RFC 9110, 15.6.4: while it is away the answer is 503.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from own_cluster import Cluster, own_cluster
from server_process import Server, command, server
from sqlalchemy import make_url
from test_readme_server import Printed, block

pytestmark = pytest.mark.long
WITHIN = 60.0
PAST = "item,kind,cuff_buttons,price,sold_on\n" + "".join(
    f"W{day},jacket,working,{90 + day},2026-02-{day:02}\n"
    f"N{day},jacket,none,{20 + day},2026-02-{day:02}\n"
    for day in range(1, 13)
)


class AtOne(Printed):
    """What the README prints, for a shop of this name, with a test's own server."""

    def __init__(self, cluster: Cluster, name: str, database: str, stick: Path) -> None:
        self.name, self.stick, self.database = name, stick, database
        self.keeper = make_url(cluster.address).set(drivername="postgresql")

    def _named(self, lines: str) -> str:
        return re.sub(r"\bharbour\b", self.name, lines).replace(" shops", f" {self.database}")

    def environment(self) -> dict[str, str]:
        told = super().environment()
        address = told["RESALE_RECORDS_URL"].replace(f"@/{self.name}?", f"@/{self.database}?")
        return {**told, "RESALE_RECORDS_URL": address}

    def another(self) -> None:
        """Write what the README says of a shop, in a database that is there already."""
        self.sql("keeper", block("keeper").partition("\n")[2])


@pytest.fixture
def cluster() -> Iterator[Cluster]:
    with own_cluster() as found:
        yield found


def seen(look: Callable[[], bool]) -> None:
    """Ask again and again, as somebody at a desk would reload."""
    until = time.monotonic() + WITHIN
    while not look():
        assert time.monotonic() < until


def estimate(at: Server) -> str:
    """What a jacket with working cuffs is worth."""
    _, _, text = at.post("/bench/jacket/look", "/bench/jacket", **{"s-cuff_buttons": "working"})
    found = re.search(r"€\s?([\d,.]+)", text)
    assert found is not None, text
    return found[1]


def save(at: Server, key: str) -> None:
    assert at.post("/bench/bag/save", "/bench/bag", key=key)[0] == 303


def items(at: Server) -> set[str]:
    return set(re.findall(r"Q-\d{5}", at.get("/items")[1]))


def test_two_shops_on_one_server_through_a_bad_week(cluster: Cluster, tmp_path: Path) -> None:
    harbour = AtOne(cluster, "harbour", "shops", tmp_path)
    hill = AtOne(cluster, "hill", "shops", tmp_path)
    harbour.sql("keeper")
    hill.another()
    one, two, other = (tmp_path / name for name in ("one", "two", "other"))
    here, there = harbour.environment(), hill.environment()
    with ExitStack() as machines:
        first = machines.enter_context(server(one, **here))
        first.become_owner()
        second = machines.enter_context(server(two, **here))
        second.sign_in()
        neighbour = machines.enter_context(server(other, **there))
        neighbour.become_owner("Nandini")
        save(first, "0123456789abcdef0001")
        assert items(second) == {"Q-00001"} and items(neighbour) == set()

        before, theirs = estimate(second), estimate(neighbour)
        (tmp_path / "past.csv").write_text(PAST)
        for words in (["bring", str(tmp_path / "past.csv"), "--load"], ["fit"]):
            ran = command(one, *words, **here)
            assert ran.returncode == 0, ran.stderr
        seen(lambda: estimate(second) != before)
        seen(lambda: estimate(first) == estimate(second))
        assert estimate(neighbour) == theirs

        had = items(second)
        first.process.kill()
        first.process.wait(timeout=30)
        save(second, "0123456789abcdef0002")
        assert len(items(second)) == len(had) + 1

        cluster.stop()
        for at in (second, neighbour):
            assert at.get("/items")[0] == 503
        cluster.start()
        for at in (second, neighbour):
            seen(lambda at=at: at.get("/items")[0] == 200)
        assert had < items(second) and items(neighbour) == set()
        save(neighbour, "0123456789abcdef0003")
        learned = estimate(second)
    with server(one, **here) as again:
        again.sign_in()
        assert had < items(again) and estimate(again) == learned
