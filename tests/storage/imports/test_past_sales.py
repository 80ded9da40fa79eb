"""Bring your own past: a messy file is matched, tried, loaded once, and its bad rows come back."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from examples import times
from hypothesis import HealthCheck, given
from hypothesis import settings as trying
from hypothesis import strategies as st
from messy_file import HEADING, ROWS, messy_csv
from sqlalchemy import text
from writing import add_event

from resale.config.settings import Settings
from resale.errors import ItemFileError, ResaleError
from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.matching.column_memory import remembered
from resale.storage.imports.past import past_load
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import Counts, dry_run
from resale.storage.items.item_pages import items_page
from resale.storage.items.store import items_count
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.item_now import astray
from resale.storage.ledger.ledger import item_life

BOOK = load_rule_book()
AT = datetime(2026, 6, 30, 12, tzinfo=UTC)
SETTINGS = Settings()
TOLD = Told(words={("kind", "poncho"): "jacket", ("hole", "Tiny"): "hidden_1"})


def tried(records, content=None, told=None, settings=SETTINGS, name="past.csv"):
    content = messy_csv() if content is None else content
    return dry_run(records, content, name, BOOK, settings, AT.date(), told)


def loaded(records, run):
    return load(records, run, currency="EUR", at=AT, by="Ottoline")


def count(records, table):
    with records.connect() as one:
        return one.execute(text(f"SELECT count(*) FROM {table}")).scalar()  # noqa: S608


# ---------------------------------------------------------------- where they are now
def test_what_is_written_at_once_is_kept_on_line_by_line(records, monkeypatch):
    """Rows of where items are stand after a load of several parts, and follow what comes then."""
    monkeypatch.setattr(past_load, "AT_ONCE", 2)
    added = loaded(records, tried(records, told=TOLD))
    assert added > 2
    assert (count(records, "item_now"), astray(records)) == (added, [])
    with records.connect() as one:
        number = one.execute(text("SELECT max(number) FROM item")).scalar_one()
    add_event(records, NewEvent(number, "returned", AT.date(), "back"), currency="EUR", at=AT)
    assert astray(records) == []
    assert item_life(records, number).state.where == "back_room"


# ---------------------------------------------------------------- matching
def test_headings_in_a_shop_s_own_words_are_matched(records):
    matches = {one.match.heading: one.match for one in tried(records).columns}
    assert {heading: match.column for heading, match in matches.items()} == {
        "tag no.": "item",
        "type": "kind",
        "maker": "label",
        "size mark": "size",
        "pilling": "pilling",
        "holes": "hole",
        "till clerk": "",
        "date in": "taken_in_on",
        "listed": "put_out_on",
        "tag price": "first_ticket",
        "sold on": "sold_on",
        "sold for": "price",
    }
    assert matches["sold on"].how == "same name"
    assert matches["holes"].how == "much like"
    assert matches["till clerk"].how == "passed over"


def test_what_the_user_says_goes_before_what_is_guessed(records):
    run = tried(records, told=Told(columns={"Sold for": "", "Tag price": "price"}))
    matches = {one.match.heading: one.match.column for one in run.columns}
    assert (matches["tag price"], matches["sold for"]) == ("price", "")


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        ({"Sold four": "price"}, "past.csv: there is no column 'Sold four'; perhaps sold for"),
        ({"Sold for": "prise"}, "past.csv: 'prise' is no column of ours; perhaps price is meant"),
        ({"Sold for": "price", "Tag price": "price"}, "two columns are matched with price"),
        ({"Sold for": ""}, "past.csv: no column is taken for price; say which it is: till clerk"),
    ],
)
def test_a_match_that_cannot_be_is_said(records, columns, sentence):
    with pytest.raises(ItemFileError) as caught:
        tried(records, told=Told(columns=columns))
    assert sentence in caught.value.sentence


# ---------------------------------------------------------------- the dry run
def test_a_dry_run_counts_shows_examples_and_names_every_bad_row(records):
    run = tried(records)
    assert run.counts == Counts(rows=10, fresh=4, doubles=1, known=0, bad=5)
    became = {one.match.column: one.became for one in run.columns if one.became}
    assert became["kind"] == (("Blazer", "Jacket"), ("shirts", "Shirt"), ("shirt", "Shirt"))
    assert became["sold_on"][:2] == (("31/01/2026", "2026-01-31"), ("14.2.26", "2026-02-14"))
    assert became["price"][:2] == (("€ 48,00", "€48.00"), ("16,50 EUR", "€16.50"))
    assert became["hole"][1][0] == "seen 2"
    said = "\n".join(one.sentence for one in run.problems)
    for sentence in (
        "Row 4, column holes: 'tiny' is not an option; write none, or hidden or seen with",
        "Row 6, column type: 'Poncho' is not a kind; use one of bag, belt",
        "Row 8, column sold for: 'nothing' is not an amount; write it like 12.50.",
        "Row 9, column sold on: the day is before put_out_on; look at both dates.",
        "Row 10, column sold for: the amount is in USD, the shop counts in EUR",
    ):
        assert sentence in said
    assert count(records, "event") == 0


def test_words_that_nobody_explained_are_listed_with_what_they_may_mean(records):
    unknown = {(one.column, one.word): one for one in tried(records).unknown}
    assert set(unknown) == {("hole", "tiny"), ("kind", "poncho")}
    assert unknown["hole", "tiny"].count == 2
    assert "hidden_1" in unknown["hole", "tiny"].options
    assert unknown["kind", "poncho"].options == tuple(BOOK.kinds)


def test_a_word_may_be_explained_or_said_to_be_not_looked_at(records):
    run = tried(records, told=TOLD)
    rows = {row.item: row for row in run.rows}
    assert rows["A-3"].choices == {"hole": "hidden_1"}
    assert rows["A-4"].kind == "jacket"
    assert run.counts.fresh == 6
    blank = tried(records, told=Told(words={("hole", "tiny"): ""}))
    assert {row.item: row for row in blank.rows}["A-3"].choices == {}


def test_bad_rows_come_back_and_mended_they_load(records):
    run = tried(records)
    loaded(records, run)
    stream = io.StringIO()
    run.write_bad_rows(stream)
    back = list(csv.DictReader(io.StringIO(stream.getvalue())))
    assert [row["tag no."] for row in back] == ["A-3", "A-1", "A-4", "A-6", "A-7", ""]
    assert back[1]["reason"].startswith("Row 5: an equal row stands above it")
    assert back[5]["reason"].startswith("Row 10, column sold for: the amount is in USD")
    again = tried(records, stream.getvalue().encode(), TOLD, name="came back.csv")
    assert {row.item for row in again.rows} == {"A-3", "A-4"}
    assert {one.match.heading: one.match.how for one in again.columns}["tag no."] == "remembered"


def test_a_date_that_could_be_two_is_asked_about_and_the_answer_settles_it(records):
    rows = [["shirt", "04/03/2026", "9,00"]]
    content = messy_csv(rows, ["kind", "sold", "price"])
    run = tried(records, content)
    assert "04/03/2026 could be 2026-03-04 or 2026-04-03" in run.problems[0].sentence
    assert tried(records, content, Told(first="day")).rows[0].sold_on == date(2026, 3, 4)
    assert tried(records, content, Told(first="month")).rows[0].sold_on == date(2026, 4, 3)


# ---------------------------------------------------------------- the load
def test_a_load_writes_lives_and_the_sums_are_those_of_the_file(records):
    """By hand: 48.00 + 16.50 + 12.00 + 9.00 of the good rows."""
    assert loaded(records, tried(records)) == 4
    life = item_life(records, "A-1")
    assert [(event.what, event.day.isoformat(), event.amount) for event in life.held] == [
        ("taken_in", "2026-01-05", None),
        ("put_out", "2026-01-07", 4800),
        ("sold", "2026-01-31", 4800),
    ]
    assert life.held[0].data["choices"] == {"pilling": "grade_4", "hole": "none"}
    assert life.state.where == "sold"
    book = day_book(records, date(2026, 1, 1), date(2026, 12, 31), "EUR")
    assert (book.sums.sold, book.sums.counts["sold"]) == (8550, 4)


def test_loading_the_same_file_twice_adds_nothing(records):
    loaded(records, tried(records))
    again = tried(records)
    assert again.loaded_before.startswith("This file was loaded on 2026-06-30 as past.csv")
    assert (again.counts.fresh, again.counts.known) == (0, 4)
    assert loaded(records, again) == 0
    assert (count(records, "item"), count(records, "import_run")) == (4, 1)
    # What came back the first time comes in once its words are explained, and nothing else does.
    more = tried(records, told=TOLD)
    assert {row.item for row in more.rows} == {"A-3", "A-4"}
    assert [loaded(records, more), loaded(records, more)] == [2, 0]


def test_the_same_sales_in_another_file_and_another_style_add_nothing(records):
    loaded(records, tried(records))
    rows = [
        [
            "A-1",
            "jacket",
            "Vellorange",
            "52",
            "grade_4",
            "none",
            "",
            "5 Jan 2026",
            "2026-01-07",
            "48.00",
            "2026-01-31",
            "48.00",
        ],
        ["A-9", "shirt", "", "", "", "", "", "", "", "", "2026-02-01", "5.00"],
    ]
    run = tried(records, messy_csv(rows), name="other.csv")
    assert (run.counts.known, run.counts.fresh, run.counts.bad) == (1, 1, 0)
    assert loaded(records, run) == 1


def test_a_number_that_means_another_sale_comes_back(records):
    loaded(records, tried(records))
    rows = [["A-1", *ROWS[0][1:-1], "€ 40,00"], ["B-1", *ROWS[0][1:]], ["B-1", *ROWS[1][1:]]]
    run = tried(records, messy_csv(rows), name="other.csv")
    assert [problem.sentence for problem in run.problems] == [
        "Row 2: item A-1 is in the records already, with other values; give it another number, or "
        "record this sale in the Ledger.",
        "Row 4: item B-1 stands in row 3 too, with other values; keep the right one of both, or "
        "give one another number.",
    ]


def test_numbers_of_our_own_making_are_kept_and_never_given_twice(records):
    rows = [
        ["Q-00007", "shirt", "9", "2026-02-01"],
        ["", "shirt", "8", "2026-02-01"],
        ["Q-00001", "shirt", "7", "2026-02-01"],
    ]
    content = messy_csv(rows, ["item", "kind", "price", "sold_on"])
    assert loaded(records, tried(records, content)) == 3
    with records.connect() as one:
        kept = one.execute(text("SELECT id, number FROM item ORDER BY id")).all()
    assert [tuple(row) for row in kept] == [(1, "Q-00001"), (7, "Q-00007"), (8, "Q-00008")]


def test_a_load_that_breaks_leaves_nothing_behind(records):
    run = tried(records)
    twice = replace(run, rows=(*run.rows, run.rows[0]))
    with pytest.raises(Exception, match=r"(?i)unique"):
        loaded(records, twice)
    assert (count(records, "item"), count(records, "event"), count(records, "import_run")) == (
        0,
        0,
        0,
    )


def test_past_sales_are_no_items_that_were_valued_here(records):
    loaded(records, tried(records))
    assert (items_count(records), items_page(records).total) == (0, 0)


def test_confirmed_headings_and_words_are_remembered_and_may_be_said_anew(records):
    loaded(records, tried(records, told=TOLD))
    known = remembered(records)
    assert known.headings["sold for"] == "price"
    assert "till clerk" not in known.headings
    assert known.words["hole", "tiny"] == "hidden_1"
    rows = [["C-1", *ROWS[2][1:]]]
    assert tried(records, messy_csv(rows)).rows[0].choices == {"hole": "hidden_1"}
    anew = Told(words={("hole", "tiny"): "seen_1"})
    loaded(records, tried(records, messy_csv(rows), anew))
    assert remembered(records).words["hole", "tiny"] == "seen_1"


def test_an_unknown_last_price_is_kept_beside_the_first(records):
    rows = [["D-1", "shirt", "2026-01-02", "20", "2026-02-01", "15"]]
    content = messy_csv(rows, ["item", "kind", "put_out_on", "first_ticket", "sold_on", "price"])
    loaded(records, tried(records, content))
    assert item_life(records, "D-1").held[1].data == {"last_ticket": 1500}


# ---------------------------------------------------------------- whatever is typed
CELLS = st.one_of(
    st.sampled_from([cell for row in ROWS for cell in row]),
    st.text(st.characters(codec="utf-8", exclude_characters="\0\r"), max_size=12),
)


@trying(
    max_examples=times(25),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    rows=st.lists(
        st.lists(CELLS, min_size=len(HEADING) - 1, max_size=len(HEADING) + 1),
        min_size=1,
        max_size=6,
    )
)
def test_whatever_a_file_holds_it_is_read_or_refused_in_a_sentence(records, rows):
    try:
        run = tried(records, messy_csv(rows))
    except ResaleError as fault:
        assert fault.sentence.endswith(".")
        return
    counts = run.counts
    assert counts.rows == (
        counts.fresh + counts.doubles + counts.known + counts.bad + counts.odd + counts.told
    )
    loaded(records, run)
    again = tried(records, messy_csv(rows))
    assert again.counts.fresh == 0
