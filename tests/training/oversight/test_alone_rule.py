"""Wald's test: its published lines, and its error rates in a simulation of thousands of people."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from resale.training.oversight.alone_rule import REST, Rule, Step, standing

START = datetime(2026, 1, 5, 9, tzinfo=UTC)
OURS = Rule(0.05, 0.20, 0.10, 0.05)


def days(outcomes, *, every=timedelta(days=1)):
    return [Step(START + n * every, bool(bad)) for n, bad in enumerate(outcomes)]


def test_the_lines_are_those_of_a_published_plan():
    """NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.6, from memory: p1 0.01, p2 0.10,
    alpha 0.05, beta 0.10 give xa = -0.939 + 0.0397 n and xr = 1.205 + 0.0397 n; nothing passes
    before 24 things, and two misread of two stop it."""
    plan = Rule(0.01, 0.10, 0.05, 0.10)
    assert (plan.lower, plan.upper) == pytest.approx((0.939, 1.205), abs=5e-4)
    assert plan.slope == pytest.approx(0.0397, abs=5e-5)
    assert (plan.first_pass, plan.first_stop) == (24, 2)
    assert [plan.pass_at(n) for n in (23, 24, 48, 49, 73, 74)] == [-1, 0, 0, 1, 1, 2]


def test_the_lines_are_those_of_the_likelihood_ratio_itself():
    """Wald 1945: pass where the ratio is at most b / (1 - a), stop where it is at least
    (1 - b) / a; here the ratio is multiplied out thing by thing."""
    for read in range(1, 60):
        ratio = [(0.20 / 0.05) ** bad * (0.80 / 0.95) ** (read - bad) for bad in range(read + 1)]
        assert OURS.pass_at(read) == max(
            (bad for bad, one in enumerate(ratio) if one <= 0.05 / 0.90), default=-1
        )
        assert min(OURS.stop_at(read), read + 1) == min(
            (bad for bad, one in enumerate(ratio) if one >= 0.95 / 0.10), default=read + 1
        )


def test_its_chance_of_passing_goes_through_the_stated_points():
    """Wald 1947, 5.3: at the good share 1 - a, at the bad one b, at the slope the stated ratio."""
    assert OURS.chance_of_passing(0.05) == pytest.approx(0.90)
    assert OURS.chance_of_passing(0.20) == pytest.approx(0.05)
    between = OURS.upper / (OURS.upper + OURS.lower)
    assert OURS.chance_of_passing(OURS.slope) == pytest.approx(between)
    assert OURS.chance_of_passing(OURS.slope + 1e-6) == pytest.approx(between, abs=1e-4)


@pytest.mark.parametrize(("share", "low", "high"), [(0.20, 0.0, 0.05), (0.05, 0.90, 1.0)])
def test_the_stated_risks_hold_for_whole_careers(share, low, high):
    """240 things each, tests begun again after stops: whoever is bad hardly ever passes, although
    they try again and again; whoever is good nearly always does. 400 people: a false alarm of
    1 in 1,000 at three standard errors."""
    rng = np.random.default_rng(11)
    passed = np.mean(
        [any_pass(days(rng.random(240) < share, every=timedelta(hours=12))) for _ in range(400)]
    )
    slack = 3 * np.sqrt(0.05 * 0.95 / 400)
    assert low - slack <= passed <= high + slack


def any_pass(steps):
    """Whether a lead who looks after every thing would ever have seen a pass."""
    ends = range(20, len(steps) + 1, 20)
    return any(standing(OURS, steps[:end]).state == "passed" for end in ends)


def test_after_a_stop_the_next_test_waits_and_asks_for_more():
    bad = days([1, 1])
    now = standing(OURS, bad)
    assert (now.state, now.read, now.misread) == ("stopped", 2, 2)
    soon = standing(OURS, [*bad, *days([0] * 60, every=timedelta(minutes=5))])
    assert soon.state == "stopped" and soon.read == 2
    clean = [Step(one.at + REST + timedelta(days=2), one.misread) for one in days([0] * 24)]
    later = standing(OURS, [*bad, *clean])
    assert (later.state, later.stops, later.wanted) == ("open", 1, 1)
    one_more = Step(clean[-1].at + timedelta(days=1), False)
    assert standing(OURS, [*bad, *clean, one_more]).state == "passed"


def test_a_pass_is_lost_by_what_is_read_badly_after_it():
    good = days([0] * 21)
    assert standing(OURS, good).state == "passed"
    bad = [Step(good[-1].at + timedelta(days=n + 1), True) for n in range(3)]
    assert standing(OURS, [*good, *bad]).state == "stopped"
