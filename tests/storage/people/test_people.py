"""People, passwords, links and sessions: who gets in, once, and for how long."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import argon2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from resale.errors import ResaleError
from resale.storage.people.audit_log import all_audit_entries, audit_entries, write_audit_entry
from resale.storage.people.invitations import (
    GOOD_FOR,
    SpentLinkError,
    make_entry_link,
    open_entry_link,
    use_entry_link,
)
from resale.storage.people.passwords import (
    WeakPasswordError,
    check_strength,
    person_with,
    set_password,
)
from resale.storage.people.people import (
    LastOwnerError,
    add_person,
    has_owner,
    let_go,
    people,
    person_named,
    set_role,
    take_back,
)
from resale.storage.people.sessions import (
    A_DAY,
    IDLE,
    end_all_sessions,
    end_session,
    person_of_session,
    sessions_of,
    start_session,
)

AT = datetime(2026, 3, 1, 9, tzinfo=UTC)
GOOD = "linen buckle orchard"


@pytest.fixture
def owner(records):
    return add_person(records, "Ottoline", "owner", AT)


# ---------------------------------------------------------------- roles
def test_each_role_may_do_what_those_below_may(records, owner):
    sorter = add_person(records, "Sunniva", "sorter", AT)
    assert owner.may("lead") and owner.may("sorter") and not sorter.may("lead")
    assert [one.name for one in people(records)] == ["Ottoline", "Sunniva"]


def test_the_last_owner_neither_leaves_nor_steps_down(records, owner):
    for act in (lambda: let_go(records, owner.id, AT), lambda: set_role(records, owner.id, "lead")):
        with pytest.raises(LastOwnerError, match="Ottoline is the only owner"):
            act()
    second = add_person(records, "Perpetua", "owner", AT)
    let_go(records, owner.id, AT)
    assert people(records) == (second,)
    assert has_owner(records)


def test_whoever_left_cannot_sign_in_and_can_come_back(records, owner):
    leaving = add_person(records, "Sunniva", "sorter", AT)
    set_password(records, leaving, GOOD)
    token = start_session(records, leaving.id, "tablet", AT)
    let_go(records, leaving.id, AT)
    assert person_with(records, "Sunniva", GOOD) is None
    assert person_of_session(records, token, AT) is None
    assert person_named(records, "Sunniva") is None
    again = take_back(records, "sunniva", "lead", AT)
    assert (again.id, again.role) == (leaving.id, "lead")
    assert person_with(records, "Sunniva", GOOD) is None


# ---------------------------------------------------------------- passwords
@pytest.mark.usefixtures("dear_passwords")
def test_a_password_is_kept_as_argon2id_and_never_as_it_is(records, owner, place):
    set_password(records, owner, GOOD)
    with records.connect() as connection:
        secret = connection.scalar(text("SELECT secret FROM person"))
    kept = argon2.extract_parameters(secret)
    assert kept.type is argon2.Type.ID
    # OWASP Password Storage Cheat Sheet: Argon2id with at least 19 MiB, 2 rounds, 1 lane.
    assert kept.memory_cost >= 19 * 1024 and kept.time_cost >= 2 and kept.parallelism >= 1
    assert GOOD.encode() not in place.kept()


def test_only_the_right_password_with_the_right_name_gets_in(records, owner):
    set_password(records, owner, GOOD)
    assert person_with(records, " ottoline ", GOOD) == owner
    for name, word in (("Ottoline", GOOD + "s"), ("Ottoline", ""), ("Else", GOOD), ("", "")):
        assert person_with(records, name, word) is None
    add_person(records, "Without", "sorter", AT)
    assert person_with(records, "Without", "") is None
    assert person_with(records, "Without", "nobody has this password") is None


def test_a_password_counts_exactly_as_it_was_sent(records, owner):
    """ASVS 5.0, 6.2.8 and 6.2.9: nothing is cut, and 64 characters and more are allowed."""
    longest = ("linen buckle orchard " * 7)[:128]
    set_password(records, owner, longest)
    assert person_with(records, "Ottoline", longest) == owner
    for other in (longest + "s", longest[:-1], longest.upper(), f" {longest[1:]}"):
        assert person_with(records, "Ottoline", other) is None


# The first six are among the 25 most used of every published list (from memory, no single source).
@pytest.mark.parametrize(
    "word",
    [
        "password",
        "12345678",
        "qwertyuiop",
        "iloveyou",
        "111111111",
        "letmein1",
        "Ottoline",
        "short",
        "ottoline1",
        "a" * 129,
    ],
)
def test_a_password_that_others_would_guess_is_refused(word):
    with pytest.raises(WeakPasswordError):
        check_strength(word, "Ottoline")


@given(st.text(max_size=140))
def test_no_text_breaks_the_check_of_a_password(word):
    try:
        check_strength(word, "Ottoline")
    except WeakPasswordError as fault:
        assert fault.sentence.endswith(".")


# ---------------------------------------------------------------- links
def test_a_link_works_once_within_its_days(records, owner):
    token = make_entry_link(records, owner.id, AT)
    assert open_entry_link(records, token, AT).person == owner
    assert open_entry_link(records, token, AT + GOOD_FOR).person == owner
    use_entry_link(records, token, AT)
    for act in (open_entry_link, use_entry_link):
        with pytest.raises(SpentLinkError):
            act(records, token, AT)


def test_links_for_the_first_owner_are_good_side_by_side_until_one_is_taken(records):
    first, second = (make_entry_link(records, None, AT) for _ in range(2))
    assert open_entry_link(records, first, AT).person is None
    use_entry_link(records, first, AT)
    with pytest.raises(SpentLinkError):
        open_entry_link(records, second, AT)
    with pytest.raises(SpentLinkError):
        use_entry_link(records, second, AT)


def test_a_link_for_the_first_owner_makes_no_second_one(records, owner):
    late = make_entry_link(records, None, AT)
    with pytest.raises(SpentLinkError):
        use_entry_link(records, late, AT)


def test_a_link_too_old_or_superseded_or_of_one_who_left_is_spent(records, owner):
    first = make_entry_link(records, owner.id, AT)
    second = make_entry_link(records, owner.id, AT)
    leaving = add_person(records, "Sunniva", "sorter", AT)
    third = make_entry_link(records, leaving.id, AT)
    let_go(records, leaving.id, AT)
    late = AT + GOOD_FOR + timedelta(seconds=1)
    for token, at in ((first, AT), (second, late), (third, AT), ("made up", AT)):
        with pytest.raises(SpentLinkError):
            open_entry_link(records, token, at)


def test_the_records_hold_no_token(records, owner, place):
    tokens = [make_entry_link(records, owner.id, AT), start_session(records, owner.id, "x", AT)]
    kept = place.kept()
    assert all(token.encode() not in kept for token in tokens)


# ---------------------------------------------------------------- sessions
def test_a_session_ends_by_hand_by_the_day_and_when_nobody_is_there(records, owner):
    token = start_session(records, owner.id, "tablet", AT)
    assert person_of_session(records, token, AT) == owner
    assert person_of_session(records, token, AT + IDLE) is None
    for hours in range(1, 14, 3):
        assert person_of_session(records, token, AT + timedelta(hours=hours)) == owner
    assert person_of_session(records, token, AT + A_DAY) is None
    other = start_session(records, owner.id, "phone", AT)
    end_session(records, other, AT)
    assert person_of_session(records, other, AT) is None
    assert person_of_session(records, "made up", AT) is None


def test_all_sessions_of_a_person_end_at_once(records, owner):
    tokens = [start_session(records, owner.id, name, AT) for name in ("tablet", "phone")]
    assert [one.browser for one in sessions_of(records, owner.id, AT)] == ["phone", "tablet"]
    end_all_sessions(records, owner.id, AT)
    assert [person_of_session(records, token, AT) for token in tokens] == [None, None]


# ---------------------------------------------------------------- the audit log
def test_deeds_are_only_ever_added(records):
    for place in range(3):
        write_audit_entry(
            records,
            by_whom="Sunniva",
            role="sorter",
            what="saved an item",
            about=f"Q-{place}",
            at=AT,
            data={"place": place},
        )
    assert [one.about for one in audit_entries(records)] == ["Q-2", "Q-1", "Q-0"]
    assert [one.data for one in audit_entries(records, about="Q-1")] == [{"place": 1}]
    assert [one.about for one in all_audit_entries(records)] == ["Q-0", "Q-1", "Q-2"]
    assert audit_entries(records, by_whom="Else") == ()
    for order in ("UPDATE deed SET by_whom = 'Else'", "DELETE FROM deed"):
        with pytest.raises(DatabaseError, match="a deed never"), records.begin() as connection:
            connection.execute(text(order))


@pytest.mark.parametrize("name", ["", "  ", "n" * 61])
def test_a_name_that_cannot_be_kept_is_refused(records, name):
    with pytest.raises(ResaleError, match="a name needs 1 to 60 characters"):
        add_person(records, name, "sorter", AT)
