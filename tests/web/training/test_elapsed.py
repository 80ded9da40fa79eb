"""Seconds that a page was looked at, out of a form that anybody can change."""

from __future__ import annotations

import time

import pytest

from resale.web.training.elapsed import seconds_since


@pytest.mark.parametrize("shown", ["", "soon", "nan", "-inf", "-1e999", "0"])
def test_what_is_no_moment_or_long_ago_counts_as_the_longest_time(shown: str) -> None:
    assert seconds_since(shown, 120.0) == 120.0


@pytest.mark.parametrize("shown", ["inf", "1e308", "99999999999"])
def test_a_moment_to_come_counts_as_none(shown: str) -> None:
    assert seconds_since(shown, 120.0) == 0.0


def test_a_moment_is_counted_from(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(time, "time", lambda: 1795908589.0)
    assert seconds_since("1795908559.50", 120.0) == 29.5
