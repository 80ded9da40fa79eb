"""Two processes on one shop's folder: each counts, works and answers for both.

Two applications stand for them here: they share nothing but the folder and its records.
`tests/server/test_two_behind_proxy.py` asks two real ones.
"""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_forms import hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in, stranger

from resale.storage.between.works_under_way import SILENT, WorkTold, tell
from resale.storage.models.rule_changes import changes_of
from resale.web import create_app
from resale.web.core.jobs import EXTENSION as WORKS
from resale.web.core.jobs import Job

CUFFS = "/rules/jacket/cuff_buttons"
Both = tuple[Flask, Flask]


@pytest.fixture
def both(tmp_path: Path) -> Both:
    return create_app(tmp_path), create_app(tmp_path)


def test_a_guess_at_one_is_counted_at_the_other(both: Both) -> None:
    """ASVS 5.0, 6.3.1: what stands against guessing holds however many servers there are."""
    signed_in(both[0], "owner")
    doors = [stranger(one) for one in both]
    wrong = {"name": "Nobody Known", "password": "not the one"}
    codes = []
    for turn in range(7):
        door = doors[turn % 2]
        codes.append(door.post("/sign-in", data={**hidden_fields(door, "/sign-in"), **wrong}))
    assert [one.status_code for one in codes] == [401] * 6 + [429]
    assert 250 < int(codes[-1].headers["Retry-After"]) <= 300


def test_a_wrong_token_at_one_is_counted_at_the_other(both: Both) -> None:
    head = {"Authorization": "Bearer of-nobody"}
    doors = [stranger(one) for one in both]
    codes = [doors[turn % 2].get("/api/v1/model", headers=head).status_code for turn in range(21)]
    assert codes == [401] * 20 + [429]


def test_work_begun_at_one_is_seen_at_the_other_and_not_begun_twice(both: Both) -> None:
    one, other = both
    told, go_on, seen = threading.Event(), threading.Event(), signed_in(other, "owner")

    def work(step: Callable[[int, int, str], None]) -> None:
        step(1, 3, "Counting invented ducks")
        told.set()
        go_on.wait(30)

    one.extensions[WORKS].begin(Job("ducks", "Ducks", "/items?seen=ducks", "/"), work)
    told.wait(30)
    again = other.extensions[WORKS].begin(Job("ducks", "Ducks", "/", "/"), pytest.fail)
    assert not again.ended.is_set() and again.thread is None
    page = _until(seen, "Counting invented ducks, step 2 of 3")
    assert page.status_code == 200
    go_on.set()
    one.extensions[WORKS].wait()
    moved = seen.get("/work/ducks")
    assert (moved.status_code, moved.location) == (303, "/items?seen=ducks")
    assert seen.get("/work/geese").status_code == 404


def _until(client: FlaskClient, words: str) -> object:
    end = time.monotonic() + 20
    while words not in words_of(page := client.get("/work/ducks")):
        assert time.monotonic() < end, words_of(page)
        time.sleep(0.05)
    return page


def test_work_of_a_process_that_died_is_said_and_can_be_begun_again(both: Both) -> None:
    app = both[0]
    folder = app.extensions["resale"].settings.data_folder
    tell(folder, WorkTold("ducks", "Ducks", "/", "/", 1, 3, "Counting"), time.time() - SILENT - 9)
    page = signed_in(app, "owner").get("/work/ducks")
    assert page.status_code == 422
    assert "was closed before it was done; begin it again" in words_of(page)
    done = threading.Event()
    app.extensions[WORKS].begin(Job("ducks", "Ducks", "/", "/"), lambda step: done.set())
    app.extensions[WORKS].wait()
    assert done.is_set()


def test_a_change_of_the_rules_drawn_up_at_one_is_shown_and_saved_at_the_other(both: Both) -> None:
    one, other = both
    here, there = signed_in(one, "owner"), signed_in(other, "owner")
    drawn = {**_fields(here.get(CUFFS).text), **hidden_fields(here, CUFFS), "effect-working": "1.6"}
    key = here.post(CUFFS, data=drawn).location.rpartition("/")[2]
    one.extensions[WORKS].wait()
    # Saved where nobody worked it out; then what was saved is there for nobody to save again.
    sent = {**hidden_fields(there, CUFFS), "why": "Buyers ask for them."}
    assert there.post(f"/rules/change/{key}", data=sent).status_code == 303
    assert len(changes_of(other.extensions["resale"].records)) == 1
    assert "not here any more" in words_of(there.post(f"/rules/change/{key}", data=sent))


def test_a_change_of_the_rules_drawn_up_at_one_is_worked_out_again_for_the_other(
    both: Both,
) -> None:
    one, other = both
    here, there = signed_in(one, "owner"), signed_in(other, "owner")
    drawn = {**_fields(here.get(CUFFS).text), **hidden_fields(here, CUFFS), "effect-working": "1.6"}
    key = here.post(CUFFS, data=drawn).location.rpartition("/")[2]
    one.extensions[WORKS].wait()
    answer = there.get(f"/rules/change/{key}")
    other.extensions[WORKS].wait()
    assert answer.status_code == 303
    assert "× 1.12 → × 1.6" in words_of(there.get(f"/rules/change/{key}"))


def test_a_plot_of_a_page_that_one_wrote_is_drawn_by_the_other(
    both: Both, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Of an empty shop nothing can be drawn; which process has what to draw from is asked here.
    monkeypatch.setattr("resale.web.evidence.plots.draw", lambda *_, **__: b"<svg/>")
    one, other = both
    here, there = signed_in(one, "owner"), signed_in(other, "owner")
    here.get("/evidence")
    one.extensions[WORKS].wait()
    (key,) = one.extensions["resale.evidence"]
    assert there.get(f"/evidence/hung/{key}.svg").status_code == 200
    assert there.get("/evidence/hung/of-nobody.svg").status_code == 404


def _fields(page: str) -> dict[str, str]:
    return dict(re.findall(r'<input name="([^"]+)"[^>]* value="([^"]*)"', page))
