"""When drills come up again: the library's own published course, and what the wrapper promises."""

import json
from datetime import UTC, datetime, timedelta, timezone

import pytest
from fsrs import Rating

from resale.errors import ResaleError
from resale.training.practice.schedule import Drill, Progress, mastery_by, rate

START = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
STITCHES = Drill("stitches", 1, signal_ids=("stitch_density",), zone="collar", seconds=12)


def test_the_days_between_answers_are_the_librarys_own():
    """open-spaced-repetition/py-fsrs, tests/test_basic.py, test_review_card (sixth model
    generation): whole days to the next date for Good x 6, Again x 2, Good x 5, each answered on
    the day it is due. Seen there."""
    right = [True] * 6 + [False] * 2 + [True] * 5
    progress, now, days = Progress(), START, []
    for one in right:
        progress = progress.answered(STITCHES, one, 12, now)
        due = progress.drills[STITCHES.key].due
        days.append((due - now).days)
        now = due
    assert days == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]


@pytest.mark.parametrize(
    ("right", "seconds", "first", "rating"),
    [
        (False, 3, False, Rating.Again),
        (False, 99, True, Rating.Again),
        (True, 24, False, Rating.Good),
        (True, 24.1, False, Rating.Hard),
        (True, 4.9, False, Rating.Good),
        (True, 4.7, False, Rating.Easy),
        (True, 1, True, Rating.Good),
    ],
)
def test_answer_and_time_become_a_rating(right, seconds, first, rating):
    assert rate(right, seconds, 12, first=first) is rating


def test_the_same_answers_give_the_same_plan_whatever_the_clock_says():
    def course():
        progress, now = Progress(), START
        for right in (True, False, True, True, True):
            progress = progress.answered(STITCHES, right, 9, now)
            now += timedelta(days=3)
        return progress.as_plain()

    assert course() == course()


def test_a_right_answer_puts_it_off_and_a_wrong_one_brings_it_back():
    good = bad = Progress()
    for day in (0, 1, 4):
        now = START + timedelta(days=day)
        good, bad = good.answered(STITCHES, True, 9, now), bad.answered(STITCHES, False, 9, now)
    last = START + timedelta(days=4)
    assert good.drills[STITCHES.key].due > last + timedelta(days=3)
    assert bad.drills[STITCHES.key].due < last + timedelta(minutes=11)
    later = last + timedelta(days=9)
    assert good.drills[STITCHES.key].remembered(later) > bad.drills[STITCHES.key].remembered(later)


def test_the_state_survives_json():
    progress = Progress()
    for right in (True, True, False):
        progress = progress.answered(STITCHES, right, 10, START)
    again = Progress.from_plain(json.loads(json.dumps(progress.as_plain())))
    assert again == progress
    assert again.answered(STITCHES, True, 5, START) == progress.answered(STITCHES, True, 5, START)


def test_counts_times_and_recent_answers_are_kept():
    progress = Progress()
    for place in range(9):
        progress = progress.answered(STITCHES, place % 3 > 0, 6 + place, START)
    one = progress.drills["stitches/1"]
    assert (one.answered, one.right, one.seconds) == (9, 6, 10)
    assert one.recent == (False, True, True, False, True, True)
    assert one.share_right == pytest.approx(2 / 3)


WHOLE = Progress().answered(STITCHES, True, 9, START).as_plain()["stitches/1"]


@pytest.mark.parametrize(
    "broken",
    [
        {},
        {"card": 3},
        {"card": {"card_id": 1}},
        "no",
        {**WHOLE, "recent": []},
        {**WHOLE, "card": {**WHOLE["card"], "due": "2026-01-01T00:00:00"}},
    ],
)
def test_a_broken_state_is_named_and_not_guessed(broken):
    with pytest.raises(ResaleError, match="drill stitches/1: the stored training state"):
        Progress.from_plain({"stitches/1": broken})


def test_a_time_without_a_zone_is_refused_and_any_zone_will_do():
    with pytest.raises(ValueError, match="time zone"):
        Progress().answered(STITCHES, True, 5, datetime(2026, 1, 1))  # noqa: DTZ001
    east = START.astimezone(timezone(timedelta(hours=9)))
    here = Progress().answered(STITCHES, True, 5, START)
    assert Progress().answered(STITCHES, True, 5, east) == here


def test_drills_are_named_by_family_level_and_what_they_are_about():
    card = Drill("card_fools", 2, about="moth")
    assert (card.key, card.below) == ("card_fools/2/moth", "card_fools/1/moth")
    assert (STITCHES.key, STITCHES.below) == ("stitches/1", "")


def test_progress_is_told_by_signal_and_by_zone():
    drills = [
        STITCHES,
        Drill("stitches", 2, signal_ids=("stitch_density",), zone="collar"),
        Drill("soles", 1, signal_ids=("sole_attach", "false_welt"), zone="sole"),
    ]
    progress = Progress().answered(STITCHES, True, 9, START)
    by_signal = mastery_by(lambda drill: drill.signal_ids, drills, progress, START)
    assert set(by_signal) == {"stitch_density", "sole_attach", "false_welt"}
    one = by_signal["stitch_density"]
    assert (one.met, one.of, one.share_right) == (1, 2, 1.0)
    assert one.remembered == pytest.approx(0.5)
    by_zone = mastery_by(lambda drill: [drill.zone], drills, progress, START)
    assert (by_zone["sole"].met, by_zone["sole"].remembered) == (0, 0.0)
