"""The Ledger: what may follow what, corrections, and a day book to the cent."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ledger_shop import NOON, TODAY, LedgerShop, day
from sqlalchemy import func, select, text, update
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session
from writing import add_event, add_events

from resale.storage.db.tables import EventRow, ItemNow, ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.effective_events import effective_events, event_of
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.item_now import astray, write_anew
from resale.storage.ledger.ledger import item_life, items_on_hand
from resale.storage.ledger.quiet_days import sale_days, sale_days_since
from resale.storage.ledger.transitions import STEPS, LedgerError, State, held


@pytest.fixture
def shop(records):
    return LedgerShop(records)


# ---------------------------------------------------------------- a life
def test_an_item_goes_from_the_back_room_over_the_rail_into_a_bag(shop):
    number = shop.item("01-10")
    assert item_life(shop.records, number).state == State("back_room", None, day("01-10"))
    shop.happens(number, "ticketed", "01-11", 2400)
    shop.happens(number, "put_out", "01-12")
    assert item_life(shop.records, number).state == State("on_rail", 2400, day("01-12"), 2400)
    shop.happens(number, "marked_down", "02-12", 1800)
    assert item_life(shop.records, number).state == State("on_rail", 1800, day("02-12"), 1800)
    shop.happens(number, "sold", "02-20")
    life = item_life(shop.records, number)
    assert life.state == State("sold", 1800, day("02-20"), 1800)
    assert [event.what for event in life.held] == [
        "taken_in",
        "ticketed",
        "put_out",
        "marked_down",
        "sold",
    ]


def test_a_returned_item_can_be_sold_again(shop):
    number = shop.item()
    shop.happens(number, "sold", "01-12", 2000)
    shop.happens(number, "returned", "01-14")
    assert item_life(shop.records, number).state.where == "back_room"
    shop.happens(number, "put_out", "01-15", 1500)
    shop.happens(number, "sold", "01-16", 1400)
    assert item_life(shop.records, number).state == State("sold", 1400, day("01-16"), 1500)


def test_a_withdrawn_item_keeps_its_ticket(shop):
    number = shop.item()
    shop.happens(number, "put_out", "01-12", 900)
    shop.happens(number, "withdrawn", "01-20")
    assert item_life(shop.records, number).state == State("back_room", 900, day("01-20"), 900)
    shop.happens(number, "passed_on", "01-21")
    assert item_life(shop.records, number).state.where == "gone"


@pytest.mark.parametrize(
    ("before", "then", "sentence"),
    [
        ([("sold", "02-01", 900)], ("sold", "02-02", 900), "it is sold since 2026-02-01; record"),
        ([], ("returned", "02-01", 900), "cannot be returned on 2026-02-01: it is in the back"),
        ([("passed_on", "02-01", 9)], ("returned", "02-02", 5), "it is passed on since 2026-02-01"),
        ([("sold", "02-01", 900)], ("returned", "02-02", 901), "more would be given back than was"),
        ([], ("put_out", "01-09", 900), "be put out on 2026-01-09: it is not taken in yet"),
        ([], ("put_out", "02-01", None), "no price is known at which it was put out; give"),
        ([], ("sold", "02-01", 0), "an amount of 0 minor units is not above 0"),
        ([], ("sold", "02-01", -5), "an amount of -5 minor units is not above 0"),
        ([], ("sold", "07-02", 900), "the day 2026-07-02 is still to come; look at the date"),
        ([], ("taken_in", "02-01", None), "cannot be taken in on 2026-02-01: it is in the back"),
        ([], ("marked_down", "02-01", 5), "put it out first, or give it another ticket"),
        ([("put_out", "02-01", 9)], ("marked_down", "02-02", 9), "has to be below the price"),
        ([("put_out", "02-01", 9)], ("withdrawn", "02-02", 9), "no money changes hands"),
        ([("passed_on", "02-01", None)], ("sold", "02-02", 9), "it is passed on since 2026-02-01"),
        ([("sold", "02-01", 9)], ("put_out", "01-20", 9), None),
        ([], ("valued", "02-01", 9), "'valued' is nothing that can be recorded"),
        ([], ("eaten", "02-01", 9), "'eaten' is nothing that can be recorded"),
        ([], ("corrected", "02-01", 9), "a correction has to name the event"),
    ],
)
def test_what_cannot_have_happened_is_refused_in_a_sentence(shop, before, then, sentence):
    number = shop.item("01-10")
    for what, on, amount in before:
        shop.happens(number, what, on, amount)
    if sentence is None:
        shop.happens(number, *then)
        return
    with pytest.raises(LedgerError) as caught:
        shop.happens(number, *then)
    assert sentence in caught.value.sentence
    assert caught.value.sentence.startswith(number)
    assert len(item_life(shop.records, number).written) == 1 + len(before)


def test_a_desk_a_day_ahead_of_the_clock_may_write_its_own_day(shop):
    number = shop.item()
    new = NewEvent(number, "sold", TODAY + timedelta(days=1), "k", 900)
    add_event(shop.records, new, currency="EUR", at=NOON)


def test_an_unknown_item_is_said(shop):
    with pytest.raises(NotSavedError, match="no item 'Q-77' is in the records"):
        shop.happens("Q-77", "sold", "02-01", 900)


def test_after_a_return_the_ticket_stands_until_somebody_changes_it(shop):
    number = shop.item()
    shop.happens(number, "ticketed", "01-11", 5555)
    shop.happens(number, "sold", "01-12", 5000)
    shop.happens(number, "returned", "01-14")
    assert item_life(shop.records, number).state == State("back_room", 5555, day("01-14"), 5555)
    shop.happens(number, "put_out", "01-15")
    shop.happens(number, "sold", "01-16")
    assert item_life(shop.records, number).state == State("sold", 5555, day("01-16"), 5555)


def test_a_refund_is_corrected_up_to_what_was_paid(shop):
    number = shop.item()
    shop.happens(number, "sold", "01-12", 3500)
    back = shop.happens(number, "returned", "01-14", 3000)
    with pytest.raises(LedgerError, match="more would be given back"):
        shop.happens(number, "corrected", "01-14", 999999, corrects=back)
    shop.happens(number, "corrected", "01-14", 3500, corrects=back)
    assert item_life(shop.records, number).held[-1].amount == 3500


def test_no_buyer_gives_ten_times_what_the_ticket_says(shop):
    """12.90 typed without its point is 1,290; a till that says nothing owes half of it."""
    number = shop.item()
    shop.happens(number, "put_out", "01-11", 1290)
    with pytest.raises(LedgerError, match="10 times what its ticket says"):
        shop.happens(number, "sold", "01-12", 129_000)
    sale = shop.happens(number, "sold", "01-12", 1290)
    with pytest.raises(LedgerError, match="10 times what its ticket says"):
        shop.happens(number, "corrected", "01-12", 129_000, corrects=sale)
    shop.happens(number, "corrected", "01-12", 12_900, corrects=sale)
    shop.happens(shop.item(), "sold", "01-12", 129_000)


# ---------------------------------------------------------------- sent twice, all or nothing
def test_the_same_key_adds_once(shop):
    number = shop.item()
    first = shop.happens(number, "sold", "02-01", 900, key="form-1")
    assert shop.happens(number, "sold", "02-01", 900, key="form-1") == first
    assert len(item_life(shop.records, number).written) == 2


def test_a_form_that_was_changed_after_it_was_sent_is_not_dropped_in_silence(shop):
    number = shop.item()
    shop.happens(number, "sold", "02-01", 900, key="form-1")
    with pytest.raises(LedgerError, match="something else was recorded with this form"):
        shop.happens(number, "sold", "02-01", 950, key="form-1")


def test_of_several_events_all_are_written_or_none(shop):
    one, other = shop.item(), shop.item()
    many = [
        NewEvent(one, "put_out", day("02-01"), "a", 900),
        NewEvent(other, "returned", day("02-01"), "b", 900),
    ]
    with pytest.raises(LedgerError):
        add_events(shop.records, many, currency="EUR", at=NOON)
    assert item_life(shop.records, one).state.where == "back_room"


# ---------------------------------------------------------------- corrections
def test_a_correction_says_what_holds_and_overwrites_nothing(shop):
    number = shop.item()
    sale = shop.happens(number, "sold", "02-01", 9000)
    shop.happens(number, "corrected", "02-02", 900, corrects=sale)
    life = item_life(shop.records, number)
    assert life.state == State("sold", 900, day("02-02"))
    assert [(event.what, event.amount) for event in life.written] == [
        ("taken_in", None),
        ("sold", 9000),
        ("corrected", 900),
    ]


def test_the_last_of_two_corrections_holds(shop):
    number = shop.item()
    sale = shop.happens(number, "sold", "02-01", 9000)
    shop.happens(number, "corrected", "02-01", 900, corrects=sale)
    shop.happens(number, "corrected", "02-03", corrects=sale)
    assert item_life(shop.records, number).state == State("sold", 900, day("02-03"))


def test_a_struck_sale_never_happened_and_can_be_struck_only_if_nothing_rests_on_it(shop):
    number = shop.item()
    sale = shop.happens(number, "sold", "02-01", 900)
    back = shop.happens(number, "returned", "02-05")
    with pytest.raises(LedgerError, match="cannot be returned"):
        shop.happens(number, "corrected", "02-01", corrects=sale, strikes=True)
    shop.happens(number, "corrected", "02-05", corrects=back, strikes=True)
    shop.happens(number, "corrected", "02-01", corrects=sale, strikes=True)
    assert item_life(shop.records, number).state.where == "back_room"


def test_a_correction_of_another_item_s_line_is_refused(shop):
    sale = shop.happens(shop.item(), "sold", "02-01", 900)
    with pytest.raises(LedgerError, match="the line to correct is none of this item"):
        shop.happens(shop.item(), "corrected", "02-01", 800, corrects=sale)


# ---------------------------------------------------------------- nothing is overwritten
def test_the_database_refuses_to_change_or_remove_an_event(shop):
    shop.item()
    for order in ("UPDATE event SET amount = 1", "DELETE FROM event"):
        with pytest.raises(DatabaseError, match="an event never"), shop.records.begin() as one:
            one.execute(text(order))


# ---------------------------------------------------------------- sums and lists
def test_the_day_book_adds_up_to_the_cent(shop):
    """By hand: 0.10 + 0.20 + 19.99 sold, 0.20 given back, 1.01 for what was passed on."""
    numbers = [shop.item() for _ in range(4)]
    for number, amount in zip(numbers, (10, 20, 1999), strict=False):
        shop.happens(number, "sold", "02-01", amount)
    shop.happens(numbers[1], "returned", "02-03")
    shop.happens(numbers[3], "passed_on", "02-03", 101)
    book = day_book(shop.records, day("02-01"), day("02-28"), "EUR")
    assert (book.sums.sold, book.sums.returned, book.sums.passed_on) == (2029, 20, 101)
    assert book.sums.net == 2110
    assert book.sums.counts == {"sold": 3, "returned": 1, "passed_on": 1}
    assert {on: sums.net for on, sums in book.days.items()} == {
        day("02-01"): 2029,
        day("02-03"): 81,
    }
    assert day_book(shop.records, day("02-02"), day("02-02"), "EUR").lines == ()


def test_a_sale_moved_to_another_day_counts_on_that_day_alone(shop):
    number = shop.item()
    sale = shop.happens(number, "sold", "02-01", 900)
    shop.happens(number, "corrected", "03-01", corrects=sale)
    assert day_book(shop.records, day("02-01"), day("02-28"), "EUR").sums.net == 0
    assert day_book(shop.records, day("03-01"), day("03-01"), "EUR").sums.net == 900


def test_money_of_another_currency_is_not_added(shop):
    shop.happens(shop.item(), "sold", "02-01", 900)
    assert day_book(shop.records, day("01-01"), day("06-30"), "USD").sums.net == 0


def test_days_the_wrong_way_round_are_said():
    with pytest.raises(Exception, match="2026-02-02 is after 2026-02-01"):
        day_book(None, day("02-02"), day("02-01"), "EUR")


def test_what_is_on_hand_is_listed_by_place(shop):
    back, rail, sold = shop.item(), shop.item(), shop.item()
    shop.happens(rail, "put_out", "02-01", 900)
    shop.happens(sold, "sold", "02-01", 900)
    on_hand = {item.number: item.state for item in items_on_hand(shop.records)}
    assert set(on_hand) == {back, rail}
    assert [item.number for item in items_on_hand(shop.records, "on_rail")] == [rail]
    assert on_hand[rail] == State("on_rail", 900, day("02-01"), 900)


# ---------------------------------------------------------------- two roads to the same
REACHED: list[bool] = []
# A sale that is struck, or moved, and what follows it: told outright, since drawn by chance alone
# hardly one case in twenty came to a struck sale.
SALES = st.lists(
    st.tuples(
        st.integers(1, 28),
        st.integers(1, 5000),
        st.sampled_from(["strikes", "strikes", "strikes", "moves", "returns"]),
        st.integers(1, 28),
    ),
    min_size=1,
    max_size=4,
)
TRIES = st.lists(
    st.tuples(
        st.sampled_from([*STEPS, "corrected"]),
        st.integers(1, 28),
        st.one_of(st.none(), st.integers(1, 5000)),
        st.integers(1, 12),
        st.booleans(),
    ),
    max_size=8,
)


def tried(shop, number, what, on, amount=None, **more):
    """Try something; None where it cannot have happened."""
    try:
        return shop.happens(number, what, f"01-{on:02d}", amount, **more)
    except LedgerError:
        return None


def sell_and_take_back_word(shop, number, sales):
    """Sell, and then say of some of the sales that they never happened, or on another day."""
    struck = 0
    for on, amount, then, other in sales:
        sale = tried(shop, number, "sold", on, amount)
        if sale is None:
            continue
        if then == "strikes":
            struck += tried(shop, number, "corrected", on, corrects=sale, strikes=True) is not None
        elif then == "moves":
            tried(shop, number, "corrected", other, amount + 1, corrects=sale)
        elif then == "returns":
            tried(shop, number, "returned", other)
    return struck


@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(sales=SALES, tries=TRIES)
def test_whatever_is_tried_the_two_roads_to_what_holds_agree(shop, sales, tries):
    """Corrections are resolved once in Python for one item, once in SQL for all."""
    number = shop.item("01-01")
    first = item_life(shop.records, number).written[0].id
    with Session(shop.records) as session:
        seen, days = session.scalar(select(func.max(EventRow.id))), sale_days(session)
    REACHED.append(sell_and_take_back_word(shop, number, sales) > 0)
    for what, on, amount, place, strikes in tries:
        more = {"corrects": first + place, "strikes": strikes} if what == "corrected" else {}
        tried(shop, number, what, on, amount, **more)
    with Session(shop.records) as session:
        rows = session.scalars(select(EventRow).where(EventRow.id >= first))
        python = [(e.id, e.what, e.day, e.amount) for e in held(event_of(row) for row in rows)]
        events = effective_events()
        query = select(events.c.id, events.c.what, events.c.day, events.c.amount)
        query = query.where(events.c.id >= first).order_by(events.c.day, events.c.id)
        assert [tuple(row) for row in session.execute(query)] == python
        kept = session.scalars(select(ItemNow).join(ItemRow).where(ItemRow.number == number)).one()
        last = [one for one in python if one[1] != "valued"][-1]
        assert (kept.event_id, kept.what, kept.day, kept.amount) == last
        assert kept.place == item_life(shop.records, number).state.where
        assert kept.changed == session.scalar(select(func.max(EventRow.id)))
        assert sale_days_since(session, days, seen) == sale_days(session)
    assert item_life(shop.records, number).state.since >= date(2026, 1, 1)
    assert astray(shop.records) == []


def test_a_kept_row_that_is_another_is_found_and_written_anew(shop):
    numbers = [shop.item("01-01") for _ in range(3)]
    shop.happens(numbers[1], "sold", "01-05", 900)
    with shop.records.execution_options(writes=True).begin() as open_one:
        wrong = update(ItemNow).where(ItemNow.what == "sold")
        open_one.execute(wrong.values(place="back_room", what="returned"))
    assert astray(shop.records) == [numbers[1]]
    write_anew(shop.records)
    assert astray(shop.records) == []
    assert [one.number for one in items_on_hand(shop.records)] == [numbers[0], numbers[2]]


def test_the_tries_above_often_come_to_a_struck_sale():
    """The two roads part most easily there: in 9 of 200 cases it was hardly looked at."""
    if not REACHED:
        pytest.skip("the tries were not made in this run")
    assert sum(REACHED) > len(REACHED) / 5, f"{sum(REACHED)} of {len(REACHED)}"
