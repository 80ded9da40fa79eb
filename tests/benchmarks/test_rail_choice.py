"""The rail's choice as a test: always in time, near its bound or saying that it is not.

Run by ``python -m pytest tests/benchmarks/test_rail_choice.py -q``; takes a minute.
"""

import pytest
from rail_choice import LONGEST, UNSAID, Run, busy_machine, relaxation, runs


@pytest.fixture(scope="module", params=["idle", "busy"])
def found(request: pytest.FixtureRequest) -> list[Run]:
    if request.param == "idle":
        return runs()
    with busy_machine():
        return runs()


def test_there_is_an_answer_while_a_person_still_waits(found: list[Run]) -> None:
    assert max(run.seconds for run in found) < LONGEST


def test_each_is_within_a_thousandth_of_the_bound_or_says_so(found: list[Run]) -> None:
    assert all(run.plan.gap <= UNSAID or run.plan.said_gap for run in found)
    assert all(run.plan.missed == () or run.plan.penalty > 0 for run in found)


def test_an_idle_machine_takes_no_more_than_fifty_roundings() -> None:
    """Middling of the runs, as a ratio: the machine's own speed cancels out."""
    took = sorted(run.seconds for run in runs())
    assert took[len(took) // 2] < 50 * relaxation()
