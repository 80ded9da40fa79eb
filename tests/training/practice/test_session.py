"""What a short session holds."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random

import pytest

from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import READING, STARTING, choose_session, is_open, new_places

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
FAMILIES = ("stitches", "soles", "buttons", "fading", "pilling", "zips", "hems", "cords")
DRILLS = [
    Drill(family, level, signal_ids=(f"{family}_signal",), seconds=12)
    for family in FAMILIES
    for level in (1, 2, 3)
]


def by_key(key):
    return next(drill for drill in DRILLS if drill.key == key)


def after(answers, start=START):
    """Progress after (key, right) answers a minute apart."""
    progress = Progress()
    for place, (key, right) in enumerate(answers):
        when = start + timedelta(minutes=place)
        progress = progress.answered(by_key(key), right, 12, when)
    return progress


def dice(seed):
    return Random(seed)  # noqa: S311


def session(progress=None, now=START, seed=1, **kwargs):
    return choose_session(DRILLS, progress or Progress(), now, dice(seed), **kwargs)


def took(planned):
    return sum(one.drill.seconds + READING for one in planned)


def test_the_first_session_is_five_new_drills_met_again():
    planned = session()
    assert len({one.drill.key for one in planned}) == 5
    assert all(one.drill.level == 1 for one in planned)
    assert sum(one.why == "new" for one in planned) == 5
    assert sum(one.why == "again" for one in planned) == 6
    assert 100 < took(planned) <= 180
    assert len({one.seed for one in planned}) == len(planned)


def test_a_session_fits_its_time_and_holds_something_new_beside_what_is_due():
    answers = [(f"{family}/1", True) for family in FAMILIES[:7] for _ in range(2)]
    later = START + timedelta(days=40)
    planned = session(after(answers), later)
    reasons = [one.why for one in planned]
    assert took(planned) <= 180
    assert reasons.count("due") == 7
    assert reasons.count("new") >= 1
    assert next(one for one in planned if one.why == "new").drill.family == "cords"


def many_met(count, right=True):
    """Progress with so many drills met, none of them due for long."""
    progress = Progress()
    for place in range(count):
        drill = Drill(f"family_{place}", 1, signal_ids=("other",))
        for minute in range(3):
            when = START + timedelta(minutes=minute)
            progress = progress.answered(drill, right, 12, when)
    return progress


@pytest.mark.parametrize(
    ("met", "right", "places"),
    [
        (0, True, 5),
        (1, False, 5),
        (2, False, 1),
        (STARTING - 1, True, 5),
        (STARTING, True, 3),
        (STARTING, False, 1),
    ],
)
def test_whoever_starts_meets_more_that_is_new_unless_most_goes_wrong(met, right, places):
    progress = many_met(met, right)
    assert new_places(progress) == places
    if right:
        planned = session(progress, START + timedelta(minutes=5))
        assert sum(one.why == "new" for one in planned) == places


@pytest.mark.parametrize("due", range(8))
def test_what_is_due_stays_first_however_many_new_ones_may_come(due):
    """180 s hold eleven answers of 16 s: one is always new, the due ones, then what is left."""
    progress = after([(f"{family}/1", True) for family in FAMILIES[:due]] * 2)
    planned = session(progress, START + timedelta(days=40))
    reasons = [one.why for one in planned]
    assert reasons.count("due") == due
    assert reasons.count("new") == min(5, 11 - due, len(FAMILIES) - due)


def test_ten_lively_sessions_show_every_family_and_leave_no_mountain_of_due_ones():
    """Two sessions a day of somebody who answers eight of ten right."""
    progress, rng, seen = Progress(), dice(4), []
    for number in range(10):
        now = START + timedelta(days=number // 2, hours=4 * (number % 2))
        for place, one in enumerate(session(progress, now, number)):
            when = now + timedelta(seconds=16 * place)
            progress = progress.answered(one.drill, rng.random() < 0.8, 12, when)
        seen.append({key.split("/")[0] for key in progress.drills})
    assert len(seen[0]) == 5 and len(seen[1]) == len(FAMILIES)
    due = sum(one.due <= now for one in progress.drills.values())
    assert due <= 11


def test_the_most_forgotten_comes_first_where_time_is_short():
    progress = after([("stitches/1", True)] * 2 + [("soles/1", True)] * 2)
    for days in (3, 14, 50):
        when = START + timedelta(days=days)
        progress = progress.answered(by_key("soles/1"), True, 12, when)
    later = START + timedelta(days=400)
    gone = progress.drills["stitches/1"].remembered(later)
    assert gone < progress.drills["soles/1"].remembered(later)
    planned = session(progress, later, seconds=34)
    assert {one.drill.key for one in planned if one.why == "due"} <= {"stitches/1"}
    assert len(planned) == 2


def test_signals_that_people_misread_come_though_they_are_not_due():
    progress = after([(f"{family}/1", True) for family in FAMILIES for _ in range(3)])
    soon = START + timedelta(minutes=30)
    planned = session(progress, soon, weak={"zips_signal": 0.4, "hems_signal": 0.1})
    assert {one.drill.key for one in planned if one.why == "weak"} == {"zips/1"}
    # Something new keeps its place, and it is the next level of the misread signal.
    assert "zips/2" in {one.drill.key for one in planned if one.why == "new"}


def test_what_the_trainee_often_fails_counts_as_weak_too():
    progress = after([("buttons/1", False)] * 3 + [("buttons/1", True)] * 3)
    soon = START + timedelta(minutes=6)
    assert "buttons/1" in {one.drill.key for one in session(progress, soon) if one.why == "weak"}


@pytest.mark.parametrize(
    ("answers", "opened"),
    [
        ([], False),
        ([True, True], False),
        ([True, True, False], True),
        ([True, False, False], False),
        ([False, False, False, True, True], True),
    ],
)
def test_a_level_opens_once_the_one_below_goes_well(answers, opened):
    progress = after([("soles/1", right) for right in answers])
    assert is_open(by_key("soles/2"), progress) is opened
    assert is_open(by_key("soles/1"), progress)


def test_a_slow_trainee_gets_fewer():
    progress = Progress()
    for place in range(3):
        for family in FAMILIES:
            when = START + timedelta(minutes=place)
            progress = progress.answered(by_key(f"{family}/1"), True, 40, when)
    later = START + timedelta(days=60)
    planned = session(progress, later)
    assert sum(44 if one.drill.level == 1 else 16 for one in planned) <= 180


@pytest.mark.parametrize(
    "seed", [one if one < 6 else pytest.param(one, marks=pytest.mark.long) for one in range(30)]
)
def test_no_family_follows_itself_where_that_can_be_helped(seed):
    rng = dice(seed)
    answers = [(rng.choice(DRILLS).key, rng.random() < 0.6) for _ in range(rng.randrange(60))]
    planned = session(after(answers), START + timedelta(days=rng.randrange(9)), seed)
    families = [one.drill.family for one in planned]
    most = max(families.count(name) for name in families)
    together = sum(one == other for one, other in pairwise(families))
    assert together == max(0, 2 * most - len(families) - 1)


def test_the_same_seed_gives_the_same_session_and_another_seed_another():
    assert session() == session()
    assert session(seed=2) != session()
    shuffled = dice(0).sample(DRILLS, len(DRILLS))
    assert choose_session(shuffled, Progress(), START, dice(1)) == session()


def test_even_the_shortest_session_has_one_drill_unless_there_is_none():
    assert len(session(seconds=1)) == 1
    assert choose_session([], Progress(), START, dice(1)) == ()
