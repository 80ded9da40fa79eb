"""Letters, headings, days and money of files, each against what is published of them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from charset_normalizer import from_bytes
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel

from resale.config.settings import Settings
from resale.errors import ItemFileError, ReadingError
from resale.garments.rulebook.rule_book import load_rule_book
from resale.services.actor import Actor
from resale.services.ledger.state_rate import state_rate
from resale.services.shop import shop_over
from resale.storage.db.database import open_records
from resale.storage.imports.cells.money_cells import in_pieces
from resale.storage.imports.cells.past_cells import Told
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import dry_run
from resale.storage.imports.tables.encodings import decoded
from resale.storage.imports.tables.excel_days import excel_day
from resale.storage.imports.tables.heading_rows import find_heading
from resale.storage.imports.words.word_lists import kind_in_words

BOOK, AT = load_rule_book(), datetime(2026, 6, 30, 12, tzinfo=UTC)


@pytest.fixture
def records(tmp_path):
    engine = open_records(tmp_path)
    yield engine
    engine.dispose()


def tried(records, lines, **told):
    content = "\n".join(lines).encode()
    return dry_run(records, content, "till.csv", BOOK, Settings(), AT.date(), Told(**told))


# ---------------------------------------------------------------- days
@pytest.mark.parametrize(
    ("serial", "epoch", "day"),
    [
        # Microsoft, "DATE function" and "Differences between the 1900 and the 1904 date system":
        # day 1, 1 January 2008, and 1,462 days between the systems.
        (1, 1900, date(1900, 1, 1)),
        (39448, 1900, date(2008, 1, 1)),
        (39448 - 1462, 1904, date(2008, 1, 1)),
        # ECMA-376 part 1, 18.17.4.1: 60 would be 29 February 1900, which never was.
        (59, 1900, date(1900, 2, 28)),
        (61, 1900, date(1900, 3, 1)),
        (0, 1904, date(1904, 1, 1)),
    ],
)
def test_days_of_spreadsheets_are_those_that_are_published(serial, epoch, day):
    assert excel_day(serial, epoch) == day


def test_the_day_that_never_was_is_none():
    with pytest.raises(ReadingError):
        excel_day(60)


@given(st.integers(61, 80_000))
def test_days_of_spreadsheets_are_those_of_another_reader(serial):
    assert excel_day(serial) == from_excel(serial, CALENDAR_WINDOWS_1900).date()
    assert excel_day(serial, 1904) == from_excel(serial, CALENDAR_MAC_1904).date()


# ---------------------------------------------------------------- letters
TEXTS = {
    "cp1252": "Größe;Straße;Käse für Jürgen öffnen\nÄrmel;Öse;Übergröße — 10 €\n",
    "cp1250": "Rozmiar;Źródło;żółta łódź\nŚwietna;ćma;ósma gęś\n",
    "cp1251": "Размер;Цена;Рубашка мужская из хлопка\nПальто;Юбка;Платье шерстяное\n",
    "cp1253": "Μέγεθος;Τιμή;Πουκάμισο βαμβακερό\nΠαλτό;Φόρεμα;Παπούτσια δερμάτινα\n",
    "cp932": "サイズ;価格;綿のシャツと革の靴\n上着;鞄;毛糸のセーターです\n",
    "gb18030": "尺码;价格;棉质衬衫和皮鞋\n外套;手袋;羊毛衫和裤子都在这里\n",
}


@pytest.mark.parametrize("codec", [*TEXTS, "utf-8", "utf-16", "utf-16-le", "utf-16-be"])
def test_letters_are_those_that_were_written(codec):
    text = TEXTS.get(codec, TEXTS["cp1252"])
    assert decoded(text.encode(codec), "till.csv").text == text


@pytest.mark.parametrize("codec", ["cp1251", "cp1253", "cp932", "gb18030"])
def test_where_the_library_is_sure_we_say_the_same(codec):
    content = (TEXTS[codec] * 20).encode(codec)
    best = from_bytes(content).best()
    assert best is not None
    assert decoded(content, "till.csv").text == str(best)


def test_the_owner_may_say_which_letters_they_are():
    content = "Marke\nKöfferchen".encode("cp850")
    assert decoded(content, "t", "cp850").text.endswith("Köfferchen")
    with pytest.raises(ItemFileError, match="not in UTF-8"):
        decoded(content, "t", "utf-8")


# ---------------------------------------------------------------- headings and words
def test_headings_stand_below_titles_and_may_be_merged():
    rows = [
        ["Report of 2025"],
        ["Sale", "", "Goods", ""],
        ["Date", "Amount", "Type", "Size"],
        ["2025-01-03", "12.00", "shirt", "M"],
    ]
    found = find_heading(rows, ())
    assert (found.names, found.below) == (("Date", "Amount", "Type", "Size"), 3)
    double = [["In", "", "Out", ""], ["Day", "By", "Day", "By"], ["1.1.25", "Ann", "2.1.25", "Bo"]]
    assert find_heading(double, ()).names[0::2] in (("In Day", "Out Day"), ("Day", "Day 2"))


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("hand bag", "bag"),
        ("brogues", "shoes"),
        ("boots", "shoes"),
        ("gents blazer", "jacket"),
        ("Lederhandtaschen", "bag"),
        ("CHEMISE homme", "shirt"),
        ("T-Shirt", "top"),
        ("shoe bag", None),
        ("rain jacket", "rainwear"),
        ("kids jacket", "child"),
        ("Kinderjacke", "child"),
        ("baby shoes", "shoes"),
        ("boyfriend jeans", "trousers"),
        ("Seidenkrawatten", "tie"),
        ("belt bag", None),
        ("voucher", None),
    ],
)
def test_words_for_kinds_are_known_or_asked(word, kind):
    assert kind_in_words(word, BOOK) == kind


# ---------------------------------------------------------------- doubles
BARE = ["kind,price,date", *["shirt,10,2025-01-03"] * 3, "shoes,20,2025-01-03"]


def test_equal_rows_of_one_file_are_different_sales_unless_the_owner_says_otherwise(records):
    run = tried(records, BARE)
    assert (run.counts.fresh, run.counts.doubles, run.left) == (4, 0, {})
    once = tried(records, BARE, once=True)
    assert (once.counts.fresh, once.counts.doubles) == (2, 2)
    assert [one.row for one in once.left["equal"]] == [3, 4]


def test_sales_of_another_file_are_left_out_as_often_as_they_are_known(records):
    load(records, tried(records, BARE), currency="EUR", at=AT, by="Ann")
    # Another file with four equal sales: three are known, one is not.
    other = [*BARE, "shirt,10,2025-01-03", "bag,5,2025-01-04"]
    run = tried(records, other)
    assert (run.counts.fresh, len(run.left["known"])) == (2, 4)
    taken = tried(records, other, take=frozenset({"known"}))
    assert taken.counts.fresh == 6
    assert load(records, taken, currency="EUR", at=AT, by="Ann") == 6
    assert tried(records, other, take=frozenset({"known"})).counts.fresh == 0
    assert tried(records, BARE, take=frozenset({"known"})).counts.fresh == 0


def test_a_price_far_from_its_kind_is_asked_about(records):
    rows = [f"shirt,{9 + n % 4},2025-01-{n + 1:02d}" for n in range(20)]
    run = tried(
        records, ["kind,price,date", *rows, "shirt,999999,2025-02-01", "shirt,990,2025-02-02"]
    )
    assert [one.row for one in run.left["odd"]] == [22, 23]
    assert "far from what such things bring" in run.left["odd"][0].sentence
    right = ["kind,price,date", *rows, "shirt,990,2025-02-02"]
    assert tried(records, right, take=frozenset({"odd"})).counts.fresh == 21


# ---------------------------------------------------------------- quantity and currency
def test_a_row_of_three_pieces_is_three_sales_that_add_up(records):
    run = tried(records, ["kind,qty,amount,date", "shirt,3,30,2025-01-03", "bag,3,10,2025-01-03"])
    assert [row.price for row in run.rows] == [1000, 1000, 1000, 334, 333, 333]
    each = tried(records, ["kind,qty,unit price,date", "shirt,3,30,2025-01-03"])
    assert [row.price for row in each.rows] == [3000] * 3
    assert tried(records, ["kind,qty,amount,date", "shirt,-1,30,2025-01-03"]).counts.bad == 1


def test_a_price_beside_pieces_is_asked_about_and_never_guessed(records):
    """Three for 30 are 10 each or 30 each: an export's bare *price* may be either."""
    rows = ["kind,qty,price,date", "shirt,3,30,2025-01-03", "bag,1,12,2025-01-03"]
    run = tried(records, rows)
    assert [row.price for row in run.rows] == [1200]
    assert ["each or of all" in one.what for one in run.problems] == [True]
    load(records, run, currency="EUR", at=AT, by="Ottoline")
    # Loaded without the answer, it is asked again; answered, that holds for the next file.
    assert tried(records, [*rows, "bag,1,14,2025-01-04"]).counts.bad == 1
    whole = tried(records, rows, columns={"price": "price"})
    assert [row.price for row in whole.rows] == [1000] * 3
    each = tried(records, rows, columns={"price": "price_each"})
    assert [row.price for row in each.rows] == [3000] * 3
    load(records, whole, currency="EUR", at=AT, by="Ottoline")
    later = tried(records, ["kind,qty,price,date", "shirt,2,30,2025-02-03"])
    assert [row.price for row in later.rows] == [1500] * 2


@given(st.integers(1, 10**8), st.integers(1, 1000))
def test_pieces_add_up_to_the_row(total, pieces):
    found = in_pieces(total, pieces)
    assert (sum(found), len(found)) == (total, pieces)
    assert max(found) - min(found) <= 1


def test_other_currencies_come_back_until_a_rate_is_stated_for_their_day(records):
    rows = ["kind,amount,currency,date", "shirt,1200,JPY,2025-01-03", "bag,20,EUR,2025-01-03"]
    run = tried(records, rows)
    assert [row.price for row in run.rows] == [2000]
    assert "the amount is in JPY" in run.problems[0].sentence
    shop = shop_over(Settings(), records)
    owner = Actor("Ann", "owner")
    for rate, since in (("0.0061", "2025-01-02"), ("0,0070", "2025-01-04")):
        state_rate(shop, owner, "jpy", rate, since, AT)
    row = tried(records, rows).rows[0]
    assert (row.price, row.was["rate"], row.was["amount"]) == (732, "0.0061", "1200")
    assert Decimal("1200") * Decimal("0.0061") == Decimal("7.32")
    marked = tried(records, ["kind,amount,date", "shirt,¥1000,2025-01-05"])
    assert [one.price for one in marked.rows] == [700]
    early = (date(2025, 1, 2) - timedelta(days=1)).isoformat()
    assert tried(records, ["kind,amount,date", f"shirt,¥1000,{early}"]).counts.bad == 1
    for wrong in (("EUR", "1", "2025-01-01"), ("JPY", "0", "2025-01-01"), ("JPY", "1", "soon")):
        with pytest.raises(ReadingError):
            state_rate(shop, owner, *wrong, AT)


# ---------------------------------------------------------------- receipts
def test_numbers_that_come_again_are_those_of_receipts(records):
    rows = [f"{n // 2},shirt,{10 + n},2025-01-03" for n in range(12)]
    run = tried(records, ["no,kind,price,date", *rows])
    assert {one.match.heading: one.match.column for one in run.columns}["no"] == "receipt"
    assert (run.counts.fresh, run.counts.bad) == (12, 0)
    unlike = [f"{n},shirt,{10 + n},2025-01-03" for n in range(12)]
    run = tried(records, ["no,kind,price,date", *unlike])
    assert {one.match.heading: one.match.column for one in run.columns}["no"] == "item"
