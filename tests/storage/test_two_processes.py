"""Two processes of one shop follow the same prices and the same rules within seconds."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
from ledger_shop import LedgerShop
from server_process import Server, command, server
from servers import Place, emptied

CUFFS = "/rules/jacket/cuff_buttons"
# A second, but for a machine that has other work; what never comes still fails.
WITHIN = 30.0


@pytest.fixture(scope="module", params=["file", pytest.param("server", marks=pytest.mark.long)])
def sold(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Place:
    """A shop where jackets with working cuffs brought far more than the rule book says."""
    folder = tmp_path_factory.mktemp("two") / "shop"
    folder.mkdir()
    schema = request.getfixturevalue("schema") if request.param == "server" else ""
    if schema:
        emptied(schema)
    place = Place(folder, schema)
    shop = LedgerShop(place.open())
    for n in range(24):
        working = n % 2
        choices = {"cuff_buttons": "working" if working else "none"}
        number = shop.item("01-02", kind="jacket", choices=choices)
        shop.happens(number, "put_out", "01-03", 9000 if working else 2000)
        shop.happens(number, "sold", "02-03", (9000 if working else 2000) + 10 * n)
    place.close()
    return place


@pytest.fixture(scope="module")
def two(sold: Place) -> Iterator[tuple[Server, Server]]:
    """Two processes: of one folder, or of two folders on one server."""
    with ExitStack() as both:
        first = both.enter_context(server(sold.folder, **_said(sold)))
        other = sold.folder.with_name("second") if sold.on_server else sold.folder
        first.become_owner()
        second = both.enter_context(server(other, **_said(sold)))
        second.sign_in()
        yield first, second


def _said(place: Place) -> dict[str, str]:
    return {f"RESALE_{name.upper()}": text for name, text in place.said.items()}


def seen_within(seconds: float, look: Callable[[], bool]) -> bool:
    """Ask again and again, as somebody at a desk would reload."""
    until = time.monotonic() + seconds
    while not look():
        if time.monotonic() > until:
            return False
    return True


def estimate(at: Server) -> str:
    """What a jacket with working cuffs is worth, at one process."""
    _, _, text = at.post("/bench/jacket/look", "/bench/jacket", **{"s-cuff_buttons": "working"})
    found = re.search(r"€\s?([\d,.]+)", text)
    assert found is not None, text
    return found[1]


@pytest.mark.long
def test_prices_learned_by_a_command_are_followed_by_every_process(
    sold: Place, two: tuple[Server, Server]
) -> None:
    before = estimate(two[0])
    assert estimate(two[1]) == before
    ran = command(sold.folder, "fit", **_said(sold))
    assert ran.returncode == 0, ran.stderr
    for one in two:
        assert seen_within(WITHIN, lambda one=one: estimate(one) != before)
    assert estimate(two[0]) == estimate(two[1])


def test_rules_changed_in_one_process_hold_in_the_other(
    sold: Place, two: tuple[Server, Server]
) -> None:
    here, there = two
    changed = saved(here, drawn_up(here, "1.6"))
    assert changed[0] in {302, 303}, changed
    assert seen_within(WITHIN, lambda: 'value="1.6"' in there.get(CUFFS)[1])
    assert "Collectors ask." in there.get("/rules")[1]


@pytest.mark.long
def test_of_two_leads_in_two_processes_the_second_is_told_and_shown_both(
    sold: Place, two: tuple[Server, Server]
) -> None:
    here, there = two
    mine, theirs = drawn_up(here, "1.7"), drawn_up(there, "1.3")
    assert saved(here, mine)[0] == 303
    status, _, page = saved(there, theirs)
    assert status == 409
    assert "changed the rule book since this was worked out" in page
    assert "× 1.7" in page and "× 1.3" in page
    _, to, _ = there.post(f"{theirs}/again", theirs, why="Collectors ask.")
    again, page = there.settled(to)
    assert "× 1.7 → <b>× 1.3" in page
    assert 'value="Collectors ask."' in page
    assert saved(there, again)[0] == 303
    assert seen_within(WITHIN, lambda: 'value="1.3"' in here.get(CUFFS)[1])


def drawn_up(at: Server, effect: str) -> str:
    """Draw a change up; give the address where it can be saved."""
    page = at.get(CUFFS)[1]
    typed = dict(re.findall(r'<input name="([^"]+)"[^>]* value="([^"]*)"', page))
    _, to, text = at.post(CUFFS, CUFFS, **{**typed, "effect-working": effect, "where": "jacket"})
    assert to, text
    return at.settled(to)[0]


def saved(at: Server, draft: str) -> tuple[int, str, str]:
    return at.post(draft, draft, why="Collectors ask.")
