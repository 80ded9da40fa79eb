"""A hostile file keeps no desk waiting and costs the shop no memory: asked of the real server."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from time import monotonic, sleep

import hostile_workbooks as hostile
import pytest
from running_shop import Running, Visitor, hidden, running_shop

EDGE = "an-edge-of-parts"
# The shop with its screens open has some 300 MB; the two workbooks took 1.3 and 3.3 GB and rising.
MOST_KB = 800_000


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Visitor]]:
    with running_shop(tmp_path_factory.mktemp("hostile") / "shop") as running:
        owner = running.visitor()
        owner.become_owner(running.link)
        yield running, owner


def _bring(owner: Visitor, content: bytes, name: str) -> str:
    """Send a file as a browser does; give the address that it leads to."""
    token = hidden(owner.get("/ledger/bring").text, "csrf_token")
    body = b"".join(
        (
            f'--{EDGE}\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n'
            f"{token}\r\n--{EDGE}\r\n"
            f'Content-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'.encode(),
            content,
            f"\r\n--{EDGE}--\r\n".encode(),
        )
    )
    parts = {"Content-Type": f"multipart/form-data; boundary={EDGE}"}
    answer = owner.ask("POST", "/ledger/bring", body, **parts)
    assert answer.status == 303, answer.text
    return answer.headers["Location"]


@pytest.mark.long
def test_while_hostile_files_are_read_the_desks_are_answered(
    shop: tuple[Running, Visitor],
) -> None:
    running, owner = shop
    files = [hostile.far_row(), hostile.far_column(), hostile.entities(), hostile.inflating(200)]
    told: list[str] = []

    def bring(number: int) -> None:
        # A browser of its own, signed in all the same.
        browser = replace(owner, cookies=dict(owner.cookies))
        told.append(_bring(browser, files[number], f"{number}.xlsx"))

    threads = [threading.Thread(target=bring, args=(number,)) for number in range(4)]
    for one in threads:
        one.start()
    # A line waits for its answer as long as any client would; then this fails.
    pages = [owner.get("/bench/bag").status for _ in range(10)]
    for one in threads:
        one.join()
    assert pages == [200] * 10 and len(told) == 4
    sentences = [_ended(owner, where) for where in told]
    assert all("That did not work" not in one for one in sentences)
    assert any("far from any table" in one for one in sentences)
    assert _peak_kb(running) < MOST_KB


def _ended(owner: Visitor, where: str) -> str:
    """Look at the page on how far it is until it says what came of it."""
    end = monotonic() + 120
    while where.startswith("/work/") and monotonic() < end:
        answer = owner.get(where)
        if answer.status == 303:
            where = answer.headers["Location"]
            break
        if answer.status != 200:
            return answer.text
        sleep(0.1)
    return owner.get(where).text


def _peak_kb(running: Running) -> int:
    """The most memory that the server ever held: proc(5), VmHWM."""
    said = Path(f"/proc/{running.process.pid}/status")
    if not said.exists():
        pytest.skip("this system does not say how much memory a process held")
    line = next(one for one in said.read_text().splitlines() if one.startswith("VmHWM"))
    return int(line.split()[1])
