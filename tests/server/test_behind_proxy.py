"""Tablets reach the shop through a real proxy with TLS, by the very lines of the README.

RFC 6797 (HSTS), 7.2: the header is sent over https and no other way. RFC 7239, 8.1: what a
visitor says of its own address is worth nothing. OWASP ASVS 5.0, 4.1.3 and 12.2.1.
"""

from __future__ import annotations

from collections.abc import Iterator
from types import SimpleNamespace

import pytest
from running_shop import PASSWORD, Visitor, running_shop
from tls_proxy import NAME, readme_block, tls_proxy

WRONG = "not the one, of course"
TABLET, STRANGER, OTHER = "127.0.0.21", "127.0.0.22", "127.0.0.23"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SimpleNamespace]:
    """A shop behind its proxy, with its owner signed in on a tablet."""
    folder = tmp_path_factory.mktemp("behind") / "shop"
    folder.mkdir()
    (folder / "shop.toml").write_text(readme_block("tablets: shop.toml"))
    place = tmp_path_factory.mktemp("proxy")
    with running_shop(folder) as shop, tls_proxy(place, shop.port) as (port, trust):

        def tablet(source: str) -> Visitor:
            return Visitor(port, NAME, source, trust)

        owner = tablet(TABLET)
        owner.become_owner(shop.link)
        yield SimpleNamespace(shop=shop, tablet=tablet, owner=owner, port=port)


def test_the_first_link_and_those_of_the_team_lead_through_the_proxy(
    desk: SimpleNamespace,
) -> None:
    assert desk.shop.address == f"https://{NAME}/"
    assert desk.shop.link.startswith(f"https://{NAME}/enter/")
    made = desk.owner.post("/team", name="Sunniva", role="sorter")
    assert f"https://{NAME}:{desk.port}/enter/" in made.text


def test_over_tls_a_browser_is_told_to_come_no_other_way(desk: SimpleNamespace) -> None:
    page = desk.tablet(TABLET).get("/sign-in")
    assert page.status == 200
    assert "max-age=" in page.headers["Strict-Transport-Security"]
    assert page.headers["Set-Cookie"].startswith("__Host-resale=")
    assert "Secure" in page.headers["Set-Cookie"]
    assert "came over a plain wire" not in page.text


def test_what_was_done_is_written_down_with_the_visitors_own_address(
    desk: SimpleNamespace,
) -> None:
    forger = desk.tablet(OTHER)
    forger.headers = {"X-Forwarded-For": "203.0.113.9", "Forwarded": "for=203.0.113.9"}
    forger.post("/sign-in", name="Ottoline", password=WRONG)
    lines = desk.owner.get("/deeds/file").text
    assert TABLET in lines and OTHER in lines
    assert "203.0.113.9" not in lines and "127.0.0.1," not in lines


@pytest.mark.long
def test_a_strangers_guesses_keep_nobody_else_out(desk: SimpleNamespace) -> None:
    stranger = desk.tablet(STRANGER)
    codes = {
        stranger.post("/sign-in", name=f"Nobody {turn}", password=WRONG).status
        for turn in range(21)
    }
    assert codes == {401, 429}
    again = desk.tablet(TABLET)
    assert again.post("/sign-in", name="Ottoline", password=PASSWORD).status == 303


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Host": NAME},
        {"X-Forwarded-Proto": "https", "Host": NAME},
        {"X-Forwarded-For": "203.0.113.9", "Host": NAME},
    ],
)
def test_whoever_comes_past_the_proxy_is_sent_to_it(
    desk: SimpleNamespace, headers: dict[str, str]
) -> None:
    answer = desk.shop.visitor(headers=headers).get("/sign-in")
    assert answer.status == 403
    assert f"https://{NAME}/" in answer.text


def test_headers_of_a_proxy_are_heeded_from_its_own_address_alone(
    desk: SimpleNamespace,
) -> None:
    """The proxy speaks from 127.0.0.1; this visitor does not, and writes what the proxy would."""
    told = {"Host": NAME, "X-Forwarded-For": TABLET, "X-Forwarded-Proto": "https"}
    past = desk.shop.visitor(source=OTHER, headers=told)
    assert past.get("/sign-in").status == 403
