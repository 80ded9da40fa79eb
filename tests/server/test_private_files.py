"""What a shop writes is its owner's alone, guesses are counted exactly, and photos leave no trace
in memory: asked of the real server.

OWASP ASVS 5.0, 13.4.1 and 6.3.1; CWE-276, CWE-307.
"""

from __future__ import annotations

import io
import os
import threading
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from running_shop import Running, Visitor, hidden, running_shop

WRONG = "not the one, of course"
EDGE = "an-edge-of-parts"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Visitor, Path]]:
    folder = tmp_path_factory.mktemp("private") / "shop"
    before = os.umask(0o022)
    try:
        with running_shop(folder) as running:
            owner = running.visitor()
            owner.become_owner(running.link)
            yield running, owner, folder
    finally:
        os.umask(before)


def test_all_that_a_shop_writes_is_its_owners_alone(shop: tuple[Running, Visitor, Path]) -> None:
    _, owner, folder = shop
    page = owner.get("/bench/bag").text
    assert owner.send("/bench/bag/save", page).status == 303
    owner.post("/copies")
    open_to_others = {
        str(path.relative_to(folder)): oct(path.stat().st_mode)
        for path in [folder, *folder.rglob("*")]
        if path.stat().st_mode & 0o077
    }
    assert open_to_others == {}
    assert {"records.db", "session.key"} <= {path.name for path in folder.iterdir()}


def test_guesses_that_come_at_once_are_counted_one_by_one(
    shop: tuple[Running, Visitor, Path],
) -> None:
    """Six wrong ones in five minutes for a name, however many come in the same moment."""
    running, _, _ = shop
    stranger = running.visitor(source="127.0.0.31")
    token = hidden(stranger.get("/sign-in").text, "csrf_token")
    codes: list[int] = []

    def guess() -> None:
        one = replace(stranger, cookies=dict(stranger.cookies))
        body = f"csrf_token={token}&name=Ottoline&password={WRONG.replace(' ', '+')}"
        codes.append(one.ask("POST", "/sign-in", body).status)

    threads = [threading.Thread(target=guess) for _ in range(24)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert Counter(codes) == Counter({401: 6, 429: 18})


@pytest.mark.long
def test_memory_that_large_photos_took_is_given_back(shop: tuple[Running, Visitor, Path]) -> None:
    running, owner, _ = shop
    if not Path(f"/proc/{running.process.pid}/status").exists():
        pytest.skip("this system does not say how much memory a process holds")
    page = owner.get("/bench/bag").text
    saved = owner.send("/bench/bag/save", page)
    number = saved.headers["Location"].rsplit("=", 1)[1]
    _photo(owner, number, 400)
    before = _held_kb(running)
    for _ in range(3):
        _photo(owner, number, 7_500)
    # Each takes half a gigabyte while it is opened, and glibc kept most of it.
    assert _held_kb(running) - before < 120_000


def _photo(owner: Visitor, number: str, side: int) -> None:
    # Small as a file, and large once it is opened: transparency is laid on paper first.
    stream = io.BytesIO()
    plain = Image.radial_gradient("L").resize((side, side)).convert("RGBA")
    plain.save(stream, "PNG", compress_level=1)
    content = stream.getvalue()
    token = hidden(owner.get(f"/items/{number}").text, "csrf_token")
    body = b"".join(
        (
            f'--{EDGE}\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n'
            f"{token}\r\n--{EDGE}\r\n"
            'Content-Disposition: form-data; name="photo"; filename="a.png"\r\n'
            "Content-Type: image/png\r\n\r\n".encode(),
            content,
            f"\r\n--{EDGE}--\r\n".encode(),
        )
    )
    parts = {"Content-Type": f"multipart/form-data; boundary={EDGE}"}
    answer = owner.ask("POST", f"/items/{number}/photos", body, **parts)
    assert answer.status in {200, 303}, answer.text


def _held_kb(running: Running) -> int:
    said = Path(f"/proc/{running.process.pid}/status").read_text()
    line = next(one for one in said.splitlines() if one.startswith("VmRSS"))
    return int(line.split()[1])
