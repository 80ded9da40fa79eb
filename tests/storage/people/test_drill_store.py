"""People, sessions, answers and second looks: kept once, never changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from a_save import a_save
from alembic import command
from migrating import go
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from writing import save_item

from resale.errors import ResaleError
from resale.storage.items.store import NotSavedError, item_numbered
from resale.storage.people.drill_sessions import NoSuchSessionError, save_session, session_of
from resale.storage.people.drill_store import (
    NewAnswer,
    answers_in,
    answers_of,
    progress_of,
    record_answer,
)
from resale.storage.people.people import add_person, people, person_by_id
from resale.storage.people.second_looks import (
    NewLook,
    SavedSample,
    last_intake_day,
    looks,
    looks_count,
    sample_of,
    save_looks,
    save_sample,
    things_of_day,
)
from resale.storage.people.whole_items import (
    NewWholeItem,
    save_whole_item,
    whole_item,
    whole_items_read,
)
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned

AT = datetime(2026, 3, 1, 12, 30, tzinfo=UTC)
DAY = AT.astimezone().date()
PILLS = Drill("pilling", 1, signal_ids=("pilling",), zone="wear")


@pytest.fixture
def nell(records):
    return add_person(records, "Nell", "sorter", AT)


def answer(person, key="k/1", right=True):
    said = "grade_3" if right else "grade_5"
    return NewAnswer(key, person.id, PILLS, 7, ("pilling",), said, "grade_3", right, 6.5)


def test_a_name_is_kept_once_and_leads_stand_first(records, nell):
    lead = add_person(records, "  Zora   Quill ", "lead", AT)
    assert add_person(records, "Nell", "lead", AT) == nell
    assert [one.name for one in people(records)] == ["Zora Quill", "Nell"]
    assert person_by_id(records, lead.id) == lead
    assert person_by_id(records, 99) is None


@pytest.mark.parametrize("name", ["", "   ", "x" * 61])
def test_a_name_that_cannot_be_kept_is_refused_in_words(records, name):
    with pytest.raises(ResaleError, match="a name needs 1 to 60 characters"):
        add_person(records, name, "sorter", AT)


def test_a_session_comes_back_as_it_was_chosen_and_the_first_of_a_key_stays(records, nell):
    plan = (Planned(PILLS, 7, "new"), Planned(Drill("card_zone", 2, "stain"), 9, "due"))
    save_session(records, "k", nell.id, plan, AT)
    save_session(records, "k", nell.id, plan[:1], AT)
    assert session_of(records, "k").plan == plan
    assert session_of(records, "k").person == nell
    with pytest.raises(NoSuchSessionError):
        session_of(records, "other")


def test_an_answer_sent_twice_counts_once_and_moves_the_schedule_once(records, nell):
    assert record_answer(records, answer(nell), AT)
    assert not record_answer(records, answer(nell, right=False), AT)
    assert [one.right for one in answers_of(records, nell.id)] == [True]
    assert progress_of(records, nell.id).drills["pilling/1"].answered == 1
    assert record_answer(records, answer(nell, "k/2", right=False), AT + timedelta(minutes=1))
    standing = progress_of(records, nell.id).drills["pilling/1"]
    assert (standing.answered, standing.right, standing.recent) == (2, 1, (True, False))
    assert answers_in(records, "k")[2].answer == "grade_5"
    assert answers_in(records, "k")[2].signal_ids == ("pilling",)


def test_one_persons_answers_are_not_anothers(records, nell):
    other = add_person(records, "Other", "sorter", AT)
    record_answer(records, answer(nell), AT)
    assert answers_of(records, other.id) == ()
    assert progress_of(records, other.id).drills == {}


def test_the_database_itself_refuses_to_change_an_answer(records, nell):
    record_answer(records, answer(nell), AT)
    for order in ("UPDATE drill_answer SET answer = ''", "DELETE FROM drill_answer"):
        with records.begin() as one, pytest.raises(DatabaseError, match="an answer never"):
            one.execute(text(order))


def test_the_first_sample_of_a_day_stays(records):
    first = save_sample(records, SavedSample(DAY, ("Q-00001",), {"aql": 2.5}), AT)
    again = save_sample(records, SavedSample(DAY, ("Q-00002",), {"aql": 4.0}), AT)
    assert first.numbers == again.numbers == ("Q-00001",)
    assert again.plan["aql"] == 2.5
    assert sample_of(records, date(2026, 1, 1)) is None


def test_items_of_a_day_are_those_that_came_in_on_it(records):
    assert last_intake_day(records) is None
    numbers = (save_item(records, a_save(), AT), save_item(records, a_save("key-2"), AT))
    assert tuple(things_of_day(records, DAY)) == numbers
    assert things_of_day(records, DAY + timedelta(days=1)) == {}
    assert last_intake_day(records) == DAY


def test_a_second_look_is_kept_once_beside_the_first_reading(records, nell):
    number = save_item(records, a_save(), AT)
    first = item_numbered(records, number).newest.inputs["choices"]
    look = NewLook("w", number, nell.id, {"pilling": "grade_4"}, first, 41.0, DAY)
    save_looks(records, [look, look], AT)
    assert looks_count(records) == 1
    one = looks(records, DAY)[0]
    assert (one.number, one.kind, one.person) == (number, "jacket", "Nell")
    assert (one.choices, one.first) == ({"pilling": "grade_4"}, {"cuff_buttons": "working"})
    assert looks(records, DAY + timedelta(days=1)) == ()
    with pytest.raises(NotSavedError):
        save_looks(records, [NewLook("x", "Q-99999", nell.id, {}, {}, 1.0)], AT)


def test_a_whole_item_read_for_practice_comes_back(records, nell):
    number = save_item(records, a_save(), AT)
    new = NewWholeItem("w", number, nell.id, {"choices": {}, "price": 1200}, {"choices": {}})
    save_whole_item(records, new, AT)
    save_whole_item(records, new, AT)
    assert whole_item(records, "w") == new
    assert whole_items_read(records, nell.id) == (number,)
    with pytest.raises(NotSavedError):
        whole_item(records, "v")


def test_the_step_goes_down_and_up_again_and_leaves_items_alone(records, nell):
    save_item(records, a_save(), AT)
    go(records, command.downgrade, "0002")
    go(records, command.upgrade, "head")
    assert people(records) == ()
    assert item_numbered(records, "Q-00001").kind == "jacket"
