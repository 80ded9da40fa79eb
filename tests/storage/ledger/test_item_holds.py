"""Holds in the records: raised by saves and by hand, lifted by a lead's word alone."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import timedelta

import pytest
from a_save import a_save, a_valued
from alembic import command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ledger_shop import NOON, LedgerShop, day
from sqlalchemy import event, text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session
from writing import add_event, clear_hold, raise_hold, save_item

from resale.config.settings import Settings
from resale.safety.holds import hold_called, shipped_holds
from resale.storage.backup.export import write_records
from resale.storage.db.database import migration_config
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import HandRaised, HeldError
from resale.storage.ledger.holds import (
    held_if_saved,
    hold_history,
    open_holds,
    refuse_if_held,
    waiting,
)
from resale.storage.ledger.write_holds import Clearing, HoldError, begin_treatment

MUSTY = {"kind": "jacket", "choices": {"mould": "musty"}}
CLEAN = {"kind": "jacket", "choices": {"mould": "none"}}
REASON = "washed by the cleaner on Monday"


@pytest.fixture
def shop(records):
    return LedgerShop(records)


def saved(records, key="key-1", at=NOON, number=None, inputs=MUSTY, **more):
    valued = a_valued(**inputs["choices"])
    new = a_save(key, inputs=inputs, valued=valued, number=number, **more)
    return save_item(records, new, at)


def clearing(hold_id="mould", **more):
    said = {"reason": REASON, "confirmed": hold_called(hold_id).clear, **more}
    return Clearing(**said)


def clear(records, number, hold_id="mould", key="clear-1", at=NOON, **more):
    said = clearing(hold_id, **more)
    clear_hold(records, number, hold_id, said, by="Leopold", key=key, at=at)


def raised(records, number, hold_id="mould", key="raise-1", at=NOON):
    return raise_hold(records, number, hold_id, note="smells", by="Sunniva", key=key, at=at)


def treated(records, number, hold_id, at, key="treat-1"):
    with Session(records.execution_options(writes=True)) as session, session.begin():
        begin_treatment(
            session, number, hold_id, at.date(), note="-20 °C", by="Sunniva", key=key, at=at
        )


def ids(records, number):
    return [one.rule.id for one in open_holds(records, [number]).get(number, ())]


def story(records, number):
    return [(one.hold, one.what) for one in hold_history(records, number)]


# ---------------------------------------------------------------- saves
def test_a_save_raises_what_its_readings_show_and_a_later_one_does_not_lift_it(records):
    number = saved(records)
    held = open_holds(records, [number])[number][0]
    assert (held.rule.id, held.by, held.since) == ("mould", "Sunniva", NOON)
    saved(records, "key-2", number=number, inputs=CLEAN)
    assert ids(records, number) == ["mould"]
    assert story(records, number) == [("mould", "raised")]


def test_a_fibre_label_raises_its_hold(records):
    inputs = {**CLEAN, "typed": {"fibre_shell": "80% wool 20% vicuna"}}
    assert ids(records, saved(records, inputs=inputs)) == ["protected_species"]


def test_a_route_that_no_hold_of_ours_explains_holds_all_the_same(records):
    valued = a_valued().model_copy(update={"route": "hold"})
    number = save_item(records, a_save(inputs={"choices": {}}, valued=valued), NOON)
    assert ids(records, number) == ["by_the_book"]
    refused(records, number, "sold")


def test_a_hold_picked_on_the_bench_is_saved_with_the_item_once(records):
    by_hand = (HandRaised("personal_papers", "an envelope"),)
    number = saved(records, inputs=CLEAN, hand_raised=by_hand)
    assert saved(records, inputs=CLEAN, hand_raised=by_hand) == number
    assert [one.note for one in open_holds(records, [number])[number]] == ["an envelope"]
    assert len(story(records, number)) == 1
    clear(records, number, "personal_papers")
    saved(records, inputs=CLEAN, hand_raised=by_hand)
    assert ids(records, number) == []


def test_the_same_answers_do_not_raise_again_what_a_lead_cleared_but_others_do(records):
    number = saved(records)
    clear(records, number)
    saved(records, "key-2", number=number)
    assert ids(records, number) == []
    worse = {"kind": "jacket", "choices": {"mould": "growth"}}
    assert held_if_saved(records, number, {"mould": ("mould:growth",)}) == {"mould"}
    saved(records, "key-3", number=number, inputs=worse)
    assert ids(records, number) == ["mould"]


def test_an_answer_that_was_gone_and_comes_back_raises_again(records):
    number = saved(records)
    clear(records, number)
    saved(records, "key-2", number=number, inputs=CLEAN)
    saved(records, "key-3", number=number)
    assert ids(records, number) == ["mould"]


def test_a_save_that_is_sent_again_after_the_clearing_raises_nothing(records):
    number = saved(records)
    clear(records, number)
    assert saved(records) == number
    assert ids(records, number) == []


# ---------------------------------------------------------------- raising and clearing
def test_raised_twice_is_one_and_cleared_twice_is_said(shop):
    number = shop.item()
    assert raised(shop.records, number) is True
    assert raised(shop.records, number) is False
    assert raised(shop.records, number, key="another") is False
    assert story(shop.records, number) == [("mould", "raised")]
    clear(shop.records, number)
    clear(shop.records, number)
    with pytest.raises(HoldError, match="Leopold cleared it already on 2026-06-30"):
        clear(shop.records, number, key="clear-2")
    assert story(shop.records, number) == [("mould", "raised"), ("mould", "cleared")]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"confirmed": ()}, "not confirmed yet: Dry, no growth"),
        ({"confirmed": ("something else",)}, "not confirmed yet"),
        ({"confirmed": hold_called("mould").clear[1:]}, "not confirmed yet: Dry"),
        ({"reason": ""}, "the reason has 0 characters; write 3 to 400"),
        ({"reason": "ok"}, "the reason has 2 characters"),
        ({"reason": "x" * 401}, "the reason has 401 characters"),
    ],
)
def test_clearing_wants_every_point_and_a_reason(shop, more, sentence):
    number = shop.item()
    raised(shop.records, number)
    with pytest.raises(HoldError, match=sentence):
        clear(shop.records, number, **more)
    assert ids(shop.records, number) == ["mould"]


def test_what_was_raised_by_mistake_needs_a_reason_but_no_point(shop):
    number = shop.item()
    raised(shop.records, number, "sharps")
    clear(shop.records, number, "sharps", confirmed=(), mistake=True)
    last = hold_history(shop.records, number)[-1]
    assert last.data == {"confirmed": [], "mistake": True, "early": False}


def test_a_quarantine_runs_its_days_and_is_cleared_earlier_with_eyes_open_alone(shop):
    """The days stand in the file of holds, each with its source and how well it was checked."""
    number = shop.item()
    raised(shop.records, number, "moth")
    held = open_holds(shop.records, [number])[number][0]
    assert held.until is None
    with pytest.raises(HoldError, match="no treatment is entered, so its quarantine has not begun"):
        clear(shop.records, number, "moth", at=NOON + timedelta(days=400))
    treated(shop.records, number, "moth", NOON)
    held = open_holds(shop.records, [number])[number][0]
    assert held.until == NOON.date() + timedelta(days=shipped_holds()["moth"].days)
    assert held.since == NOON
    a_day_short = NOON + timedelta(days=13)
    with pytest.raises(HoldError, match="its quarantine runs until 2026-07-14"):
        clear(shop.records, number, "moth", at=a_day_short)
    clear(shop.records, number, "moth", at=a_day_short, early=True)
    assert hold_history(shop.records, number)[-1].data["early"] is True
    raised(shop.records, number, "moth", key="raise-2")
    treated(shop.records, number, "moth", NOON, key="treat-2")
    clear(shop.records, number, "moth", key="clear-2", at=NOON + timedelta(days=14))
    assert hold_history(shop.records, number)[-1].data["early"] is False


def test_what_is_unknown_is_said(shop):
    number = shop.item()
    with pytest.raises(HoldError, match="there is no hold 'mould' on it"):
        clear(shop.records, number)
    with pytest.raises(NotSavedError):
        raised(shop.records, "Q-99999")
    with pytest.raises(Exception, match="there is no hold 'spoon'"):
        raised(shop.records, number, "spoon")
    raised(shop.records, number)
    with pytest.raises(HoldError, match="something else was sent with this form"):
        raised(shop.records, number, "sharps")


def test_rows_are_never_changed_and_never_go(shop):
    number = shop.item()
    raised(shop.records, number)
    for order in ("UPDATE hold_event SET what = 'cleared'", "DELETE FROM hold_event"):
        with pytest.raises(DatabaseError, match="a hold never"), shop.records.begin() as one:
            one.execute(text(order))


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["raise", "clear", "again"]),
        st.sampled_from(["mould", "sharps", "strong_odour"]),
    ),
    max_size=14,
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(moves=MOVES)
def test_a_hold_is_open_if_and_only_if_it_was_raised_after_it_was_last_cleared(shop, moves):
    number = shop.item()
    opened: set[str] = set()
    for place, (move, hold) in enumerate(moves):
        key = f"{number} {'same' if move == 'again' else place} {hold}"
        if move == "clear":
            late = NOON + timedelta(days=30)
            if hold in opened:
                clear(shop.records, number, hold, key, late)
            else:
                with pytest.raises(HoldError):
                    clear(shop.records, number, hold, key, late)
            opened.discard(hold)
        else:
            known = any(
                one.hold == hold and one.what == "raised" and one.data.get("seen") is None
                for one in hold_history(shop.records, number)
            )
            fresh = raised(shop.records, number, hold, key)
            assert not (fresh and hold in opened)
            # The same form sent again after the clearing was one raising, long over.
            assert fresh or known
            opened |= {hold} if fresh else set()
        assert set(ids(shop.records, number)) == opened
        last = {one.hold: one.what for one in hold_history(shop.records, number)}
        assert {one for one, what in last.items() if what == "raised"} == opened


# ---------------------------------------------------------------- the Ledger
def refused(records, number, what, amount=None):
    new = NewEvent(number, what, day("06-29"), f"try {what}", amount)
    with pytest.raises(HeldError, match=r"it is held: .*; do what the Held screen says"):
        add_event(records, new, currency="EUR", at=NOON)


def test_nothing_with_a_price_and_no_leaving_is_written_of_a_held_item(shop):
    number = shop.item()
    shop.happens(number, "put_out", "02-01", 900)
    raised(shop.records, number)
    refused(shop.records, number, "ticketed", 800)
    refused(shop.records, number, "marked_down", 800)
    refused(shop.records, number, "sold", 800)
    refused(shop.records, number, "passed_on")
    with pytest.raises(HeldError):
        refuse_if_held(shop.records, [number])
    shop.happens(number, "withdrawn", "06-29")
    refused(shop.records, number, "put_out", 800)
    clear(shop.records, number)
    refuse_if_held(shop.records, [number])
    shop.happens(number, "put_out", "06-29", 800)
    shop.happens(number, "sold", "06-30")


def test_what_was_written_before_the_hold_may_be_sent_again_and_corrected(shop):
    number = shop.item()
    shop.happens(number, "put_out", "02-01", 900, key="out")
    sale = shop.happens(number, "sold", "02-02", 900, key="sale")
    raised(shop.records, number)
    assert shop.happens(number, "sold", "02-02", 900, key="sale") == sale
    shop.happens(number, "corrected", "02-02", 850, corrects=sale)


def test_a_lead_who_knows_passes_on_and_it_waits_no_longer(shop):
    number, other = shop.item(), shop.item()
    raised(shop.records, number)
    raised(shop.records, other, key="raise-2")
    assert list(waiting(shop.records)) == [number, other]
    shop.happens(number, "passed_on", "06-30", lead_knows=True)
    assert list(waiting(shop.records)) == [other]
    assert ids(shop.records, number) == ["mould"]


def test_holds_of_many_items_are_one_question(shop):
    numbers = [shop.item() for _ in range(30)]
    for place, number in enumerate(numbers[:20]):
        raised(shop.records, number, key=f"raise-{place}")
    asked = []

    def count(*said):
        if said[2].lstrip().upper().startswith("SELECT"):
            asked.append(said[2])

    event.listen(shop.records, "before_cursor_execute", count)
    found = open_holds(shop.records, numbers)
    event.remove(shop.records, "before_cursor_execute", count)
    assert list(found) == numbers[:20]
    assert len(asked) == 1
    assert open_holds(shop.records, []) == {}


def test_the_most_urgent_stands_first(shop):
    number = shop.item()
    for place, hold in enumerate(("locked_case", "mould", "sharps")):
        raised(shop.records, number, hold, key=f"raise-{place}")
    assert ids(shop.records, number) == ["sharps", "mould", "locked_case"]


# ---------------------------------------------------------------- out, and from before
def test_holds_are_taken_out_with_the_rest(shop, tmp_path):
    number = shop.item()
    raised(shop.records, number)
    clear(shop.records, number)
    stream = io.BytesIO()
    write_records(shop.records, Settings(data_folder=tmp_path), stream, NOON)
    with zipfile.ZipFile(stream) as archive:
        rows = list(csv.DictReader(io.StringIO(archive.read("holds.csv").decode())))
    told = [(row["item"], row["hold"], row["what"], row["reason"], row["by_whom"]) for row in rows]
    assert told == [
        (number, "mould", "raised", "smells", "Sunniva"),
        (number, "mould", "cleared", REASON, "Leopold"),
    ]


def test_what_was_held_before_there_were_rows_is_held_afterwards(place):
    """The step before this one knew holds only as what the newest readings show."""
    engine = place.bare()

    def go(step):
        config = migration_config()
        with engine.execution_options(writes=True).begin() as one:
            config.attributes["connection"] = one
            command.upgrade(config, step)

    go("0007")
    item = "INSERT INTO item VALUES ({id}, 'Q-0000{id}', 'k{id}', 'jacket', '', '', '', '{at}')"
    valuation = (
        "INSERT INTO valuation VALUES ({id}, {id}, 'k{id}', 'd', '{inputs}', '{{}}', '1', 'f',"
        " 'm', 'EUR', 1, 1, 2, 3, 'sound', '{route}', '{at}')"
    )
    with engine.execution_options(writes=True).begin() as one:
        for place_, (inputs, route) in enumerate(
            [
                ('{"choices"\\: {"mould"\\: "growth"}}', "hold"),
                ('{"choices"\\: {}, "typed"\\: {"shell"\\: "100% fur"}}', "put_out"),
                ('{"choices"\\: {"pair_match"\\: "one"}}', "hold"),
                ('{"choices"\\: {"mould"\\: "none"}}', "put_out"),
            ],
            1,
        ):
            at = "2026-03-01 12:00:00"
            one.execute(text(item.format(id=place_, at=at)))
            one.execute(text(valuation.format(id=place_, inputs=inputs, route=route, at=at)))
    go("head")
    found = {number: [one.rule.id for one in held] for number, held in open_holds(engine).items()}
    assert found == {"Q-00001": ["mould"], "Q-00002": ["unknown_fur"], "Q-00003": ["by_the_book"]}
