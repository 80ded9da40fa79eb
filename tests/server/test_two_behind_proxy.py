"""Two processes of one shop behind a real nginx, set up by the README's lines for many desks."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from running_shop import Visitor, running_shop
from tls_proxy import NAME, readme_block, tls_proxy

pytestmark = pytest.mark.long
WRONG = "not the one, of course"
TABLET, STRANGER = "127.0.0.31", "127.0.0.32"


def test_two_processes_are_one_shop(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.toml").write_text(readme_block("tablets: shop.toml"))
    place = tmp_path / "proxy"
    place.mkdir()
    json_lines = {"RESALE_LOG_FORM": "json"}
    with (
        running_shop(folder, **json_lines) as first,
        running_shop(folder, owned=True, log="second", **json_lines) as second,
        tls_proxy(place, first.port, second.port) as (port, trust),
    ):
        owner = Visitor(port, NAME, TABLET, trust)
        owner.become_owner(first.link)
        # One session, and forms of one process sent to the other.
        for _ in range(4):
            assert owner.get("/items").status == 200
        bench = owner.get("/bench/jacket").text
        saved = owner.send("/bench/jacket/save", bench, **{"s-cuff_buttons": "working"})
        assert saved.status == 303
        # Work is begun at one and asked after at both.
        page = owner.post("/copies", "/copies")
        seen = page.headers["Location"]
        assert owner.get(seen.partition(NAME)[2] or seen).status in {200, 303}
        stranger = Visitor(port, NAME, STRANGER, trust)
        codes = [
            stranger.post("/sign-in", name="Nobody Known", password=WRONG).status for _ in range(7)
        ]
        assert codes == [401] * 6 + [429]
    for shop in (first, second):
        lines = [json.loads(one) for one in shop.log.read_text().splitlines()]
        rules = [one["rule"] for one in lines if one.get("what") == "answered"]
        assert rules.count("/sign-in") > 2, "the proxy asked both"
        assert TABLET not in shop.log.read_text() and "Q-0" not in shop.log.read_text()
