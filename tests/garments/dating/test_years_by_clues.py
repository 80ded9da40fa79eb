"""Years by clues. The dates are of record: states and laws, as `clues.toml` says of each."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.garments.dating.dating import dated, shipped_clues

IDS = [one.id for one in shipped_clues().clue]
NOW = 2026


@pytest.mark.parametrize(
    ("seen", "first", "last", "answer"),
    [
        # 1949 to 1990 is the state's life; nylon spirals are of 1960; three years of old stock.
        ({"west_germany", "coil_zip"}, 1960, 1993, "older_label"),
        # Reg. (EU) 1007/2011 applies from 8 May 2012: by now fourteen years ago, no last year.
        ({"animal_parts"}, 2012, None, ""),
        ({"utility_mark"}, 1941, 1955, "older_label"),
        ({"old_money", "many_languages"}, 1985, 2005, ""),
    ],
)
def test_clues_leave_a_range(seen, first, last, answer):
    found = dated(seen, NOW)
    assert (found.first, found.last, found.answer) == (first, last, answer)


def test_what_cannot_be_of_one_making_is_said_and_gives_no_years():
    found = dated({"utility_mark", "web_address"}, NOW)
    assert (found.first, found.last, found.answer) == (None, None, "")
    assert {one.id for one in found.quarrel} == {"utility_mark", "web_address"}


@given(st.sets(st.sampled_from(IDS), min_size=1), st.sampled_from(IDS))
def test_another_clue_never_widens_the_range(seen, more):
    before, after = dated(seen, NOW), dated(seen | {more}, NOW)
    if before.quarrel:
        assert after.quarrel
    elif not after.quarrel:
        assert (after.first or 0) >= (before.first or 0)
        assert (after.last or NOW) <= (before.last or NOW)


def test_every_clue_says_how_well_it_was_checked():
    assert all(
        one.status in {"seen", "memory", "practice"} and one.why for one in shipped_clues().clue
    )
