"""Guesses are counted before they are looked at: however many come at once, so many and no more."""

from __future__ import annotations

import threading
from collections import Counter

import pytest
from werkzeug.exceptions import TooManyRequests

from resale.web.access import guesses as counting
from resale.web.access.guesses import Guesses, Limit

FEW = {"for somebody": Limit(6, 300)}


def test_of_many_guesses_at_once_only_so_many_are_looked_at() -> None:
    seen, told = Guesses(), Counter()
    together, looked = threading.Barrier(24), threading.Barrier(6)

    def guess() -> None:
        together.wait()
        try:
            with seen.guess(FEW):
                # None of those that have a place is done before all places are taken.
                looked.wait()
                told["looked at"] += 1
        except TooManyRequests as fault:
            told["too many"] += 1
            assert 0 < fault.retry_after <= 300

    threads = [threading.Thread(target=guess) for _ in range(24)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert told == Counter({"looked at": 6, "too many": 18})


def test_a_right_guess_gives_its_place_back() -> None:
    seen = Guesses()
    for _ in range(20):
        with seen.guess(FEW) as guess:
            guess.right = True
    for _ in range(6):
        with seen.guess(FEW):
            pass
    with pytest.raises(TooManyRequests), seen.guess(FEW):
        pass


def test_a_place_is_free_again_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    seen, now = Guesses(), [1000.0]
    monkeypatch.setattr(counting.time, "monotonic", lambda: now[0])
    for _ in range(6):
        with seen.guess(FEW):
            pass
    now[0] += 300
    with seen.guess(FEW):
        pass


def test_names_that_nobody_guesses_at_any_more_take_no_memory(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen, now = Guesses(), [1000.0]
    monkeypatch.setattr(counting, "MOST_NAMES", 10)
    monkeypatch.setattr(counting.time, "monotonic", lambda: now[0])
    for name in range(50):
        now[0] += 100
        with seen.guess({f"for {name}": Limit(6, 300)}):
            pass
    assert len(seen._made) < 15
