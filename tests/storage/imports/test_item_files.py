"""Files of items and sales: good rows load, bad ones come back with a sentence each."""

import csv
import datetime as dt
import io
import zipfile

import numpy as np
import openpyxl
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from sent_files import items_from_bytes, read_items, read_sales, sales_from_bytes

from resale.errors import ItemFileError
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.imports.matching.column_matcher import propose
from resale.storage.imports.tables import table_files
from resale.storage.imports.tables.table_files import guarded, table_from_bytes, unguarded

BOOK = load_rule_book()
KINDS = ", ".join(BOOK.kinds)
HEAD = "item,kind,label,size,stitch_density,hole,fibre_shell\n"


def items(text):
    return items_from_bytes(text.encode(), "rack.csv", BOOK)


def sales(row, head="item,kind,price,sold_on,put_out_on,taken_in_on,first_ticket\n"):
    return sales_from_bytes((head + row).encode(), "sold.csv", BOOK)


def bad_rows(file):
    stream = io.StringIO()
    file.write_bad_rows(stream)
    return stream.getvalue()


# ---------------------------------------------------------------- what is read
def test_a_cell_may_hold_an_option_its_name_or_a_measure():
    file = items(
        HEAD + "A1,shirt,Vellorange,M,usual,seen 3,100% cotton\n"
        "A2,Shirts,,L,15 in 1.25 in,HIDDEN_2,Pure cotton\n"
        "A3,shirt,,,,none,cotton\n"
    )
    assert file.problems == ()
    assert file.items == ("A1", "A2", "A3")
    assert file.sizes == ("M", "L", "")
    assert file.readings.labels == ("Vellorange", "", "")
    assert [file.readings.choices(BOOK, row) for row in range(3)] == [
        {"stitch_density": "usual", "hole": "seen_3", "fibre_shell": "cotton"},
        {"stitch_density": "usual", "hole": "hidden_2", "fibre_shell": "cotton"},
        {"hole": "none", "fibre_shell": "cotton"},
    ]


@pytest.mark.parametrize(
    ("tape", "care"),
    [
        ("laid flat", "washing instructions"),
        ("gemessen", "Pflegehinweise"),
        ("mesuré à plat", "entretien"),
        ("misurato in piano", "istruzioni di lavaggio"),
        ("medida en plano", "instrucciones de lavado"),
        ("vlak gemeten", "wasvoorschrift"),
        ("mätt plant", "skötselråd"),
        ("zmierzone na płasko", "sposób prania"),
    ],
)
def test_tape_and_care_are_found_under_the_headings_of_other_languages(tape, care):
    table = table_from_bytes(f"kind;{tape};{care}\nshirt;52;wash 30\n".encode(), "x.csv", [])
    assert [one.column for one in propose(table, BOOK)] == ["kind", "tape", "care"]


def test_an_answer_decides_how_another_cell_of_its_row_is_read():
    """The count of jeans has a band of its own, and grey-scale fading is not asked of denim; the
    column that tells stands behind those that hang on it."""
    file = items(
        "kind,stitch_density,fading,denim_fade,denim_or_not\n"
        "trousers,7 in 1 in,grade_2,worn_in,denim\n"
        "trousers,7 in 1 in,grade_2,worn_in,not_denim\n"
        "trousers,7 in 1 in,grade_2,worn_in,\n"
        "shirt,7 in 1 in,grade_2,,\n"
    )
    assert file.problems == ()
    assert [file.readings.choices(BOOK, row) for row in range(4)] == [
        {"stitch_density": "usual", "denim_fade": "worn_in", "denim_or_not": "denim"},
        {"stitch_density": "low", "fading": "grade_2", "denim_or_not": "not_denim"},
        {"stitch_density": "usual", "fading": "grade_2"},
        {"stitch_density": "coarse", "fading": "grade_2"},
    ]


@pytest.mark.parametrize("cell", ["", " ", "?", "not looked at", "Not Looked At"])
def test_not_looked_at_is_never_absent(cell):
    file = items(HEAD + f"A1,shirt,,,{cell},{cell},{cell}\n")
    assert file.readings.choices(BOOK, 0) == {}


def test_what_a_file_says_is_what_the_desk_would_enter():
    file = items("kind,label,hole\njacket,Vellorange,seen_2\n")
    desk = one_reading(BOOK, "jacket", {"hole": "seen_2"}, "Vellorange")
    np.testing.assert_array_equal(file.readings.codes, desk.codes)
    np.testing.assert_array_equal(file.readings.kinds, desk.kinds)
    assert file.readings.labels == desk.labels
    assert file.items == ("row 2",)


def test_rows_are_counted_as_a_spreadsheet_counts_them():
    file = items(HEAD + "A1,shirt,,,,,\n\n,,,,,,\nA2,shrt,,,,,\n")
    assert file.items == ("A1",)
    assert file.problems[0].sentence == "Row 5, column kind: 'shrt' is not a kind; write shirt."


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_encodings_delimiters_and_line_ends_are_found_out(codec, delimiter, ending):
    text = ending.join(["kind;label", "shirt;Vélorangé", ""]).replace(";", delimiter)
    assert items_from_bytes(text.encode(codec), "rack.csv", BOOK).readings.labels == ("Vélorangé",)


def test_a_delimiter_inside_the_cells_does_not_mislead():
    file = items('kind;note;label\nshirt;"a, b; c";Vellorange, Sons, Heirs\n')
    assert (file.notes, file.readings.labels) == (("a, b; c",), ("Vellorange, Sons, Heirs",))


def test_columns_of_a_sales_file_and_reasons_are_passed_over():
    file = items("reason,kind,price,sold_on,ticket\nwhatever,shirt,not money,never,\n")
    assert len(file.good) == 1


# ---------------------------------------------------------------- rows that come back
@pytest.mark.parametrize(
    ("row", "sentences"),
    [
        (
            "A1,kite,,,,,",
            [f"Row 2, column kind: 'kite' is not a kind; use one of {KINDS}."],
        ),
        (
            "A1,,,,,,",
            [f"Row 2, column kind: no kind is given; use one of {KINDS}."],
        ),
        (
            "A1,shirt,,,usul,,",
            [
                "Row 2, column stitch_density: 'usul' is not an option; write usual, or leave it "
                "empty for not looked at."
            ],
        ),
        (
            "A1,shirt,,,900,,",
            [
                "Row 2, column stitch_density: the stitch count 900 over ruler, 1 inch is more "
                "than 60 to the inch; look at the gauge, and count one row of stitches only."
            ],
        ),
        (
            "A1,shirt,,,,seen_9,",
            [
                "Row 2, column hole: 'seen_9' is not an option; write none, or hidden or seen with "
                "an extent from 1 to 5 such as seen_3, or leave it empty for not looked at."
            ],
        ),
        (
            "A1,shirt,,,,a big one at the back,",
            [
                "Row 2, column hole: 'a big one at the back' is not an option; write none, or "
                "hidden or seen with an extent from 1 to 5 such as seen_3, or leave it empty for "
                "not looked at."
            ],
        ),
        (
            "A1,shirt,,,,,60% cotton 40% qwertyuiop",
            [
                "Row 2, column fibre_shell: The label has 'qwertyuiop', not known here; say which "
                "fibre it is; then write the label again, an option, or ? to leave it open."
            ],
        ),
        (
            "A1,shoes,,,,none,cotton",
            [
                "Row 2, column hole: shoes have no hole; empty the cell.",
                "Row 2, column fibre_shell: shoes have no fibre_shell; empty the cell.",
            ],
        ),
        (
            "A1,shirt,,",
            [
                "Row 2: the row has 4 cells where the heading has 7; put every cell under its "
                "heading, and quote a cell that holds the delimiter."
            ],
        ),
        (
            "A1,shirt,,,,,,surplus",
            [
                "Row 2: the row has 8 cells where the heading has 7; put every cell under its "
                "heading, and quote a cell that holds the delimiter."
            ],
        ),
        (
            f"A1,shirt,{'x' * 201},,,,",
            ["Row 2, column label: the text has 201 characters, more than 200; shorten it."],
        ),
        (
            "A\x07,shirt,,,,,",
            ["Row 2, column item: the text holds control characters; type it again."],
        ),
    ],
)
def test_a_bad_row_is_told_row_column_fault_and_mend(row, sentences):
    file = items(HEAD + row + "\nA2,shirt,,,,,\n")
    assert [problem.sentence for problem in file.problems] == sentences
    assert file.items == ("A2",)


def test_bad_rows_come_back_whole_and_can_be_mended_and_sent_again():
    file = items(HEAD + "A1,shirt,,,,,\n=A2,shrt,Vellorange,M,usual,,\nA3,shirt,a\n")
    back = bad_rows(file)
    rows = list(csv.reader(io.StringIO(back)))
    assert rows[0] == [
        "reason",
        "item",
        "kind",
        "label",
        "size",
        "stitch_density",
        "hole",
        "fibre_shell",
    ]
    assert rows[1][1:] == ["'=A2", "shrt", "Vellorange", "M", "usual", "", ""]
    assert rows[2][1:] == ["A3", "shirt", "a"]
    mended = items(back.replace("shrt", "shirt").replace("A3,shirt,a", "A3,shirt,a,,,,"))
    assert (mended.items, mended.problems) == (("=A2", "A3"), ())


def test_a_row_is_told_five_faults_at_most():
    signals = [s.id for s in BOOK.kinds["shirt"].signals][:9]
    file = items(",".join(["kind", *signals]) + "\n" + ",".join(["shirt", *["zzzzz"] * 9]))
    assert len(file.problems) == 5


# ---------------------------------------------------------------- files refused as a whole
@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "rack.csv: the file is empty; put a heading and rows in it."),
        (b"\n \n,,\n", "rack.csv: the file is empty; put a heading and rows in it."),
        (b"item,kind\n", "rack.csv: the file has a heading and no rows; add rows."),
        (
            b"item,kind,item\n1,shirt,2\n",
            "rack.csv: column 'item 2' is not known; perhaps item is meant.",
        ),
        (
            b"item,,kind\n1,2,shirt\n",
            "rack.csv: column 'column 2' is not known; take it out.",
        ),
        (
            b"kind,stich_density\nshirt,9\n",
            "rack.csv: column 'stich_density' is not known; perhaps stitch_density is meant.",
        ),
        (
            b"kind,qqq,zzz\nshirt,1,2\n",
            "rack.csv: column 'qqq' is not known (and 1 more); take it out.",
        ),
        (
            b"item,label\n1,x\n",
            f"rack.csv: the column kind is missing; add it, with one of {KINDS} in each row.",
        ),
        (
            "kind,label\nshirt,a".encode("utf-16")[:-1],
            "rack.csv, line 2: the text is not in UTF-16; save it as CSV in UTF-8.",
        ),
        (
            b"kind,label\nshirt,a\0b\n",
            "rack.csv, line 2: the text holds a NUL byte, which no text has; save it as CSV in "
            "UTF-8.",
        ),
        (
            b'kind,label\nshirt,a\nshirt,"open\nshirt,b\n',
            "rack.csv, line 3: a quotation mark is left open there, or stands where a cell does "
            "not begin or end; close it, or write it twice inside a quoted cell.",
        ),
        (
            b'kind,label\nshirt,"a"b\n',
            "rack.csv, line 2: a quotation mark is left open there, or stands where a cell does "
            "not begin or end; close it, or write it twice inside a quoted cell.",
        ),
        (
            b"\xd0\xcf\x11\xe0 old",
            "rack.csv: the workbook is of the old Excel form, or locked with a password; save it "
            "as .xlsx without a password, or as CSV.",
        ),
        (
            b"PK\x03\x04 no zip",
            "rack.csv: the file is not a sound Excel workbook (BadZipFile); open it in a "
            "spreadsheet program and save it again as .xlsx or CSV.",
        ),
    ],
)
def test_a_file_that_cannot_be_read_gets_one_sentence(content, sentence):
    with pytest.raises(ItemFileError) as caught:
        items_from_bytes(content, "rack.csv", BOOK)
    assert caught.value.sentence == sentence


def test_a_missing_file_a_folder_and_a_huge_file_are_said(tmp_path, monkeypatch):
    with pytest.raises(ItemFileError, match="there is no such file"):
        read_items(tmp_path / "none.csv", BOOK)
    with pytest.raises(ItemFileError, match="that is a folder"):
        read_items(tmp_path, BOOK)
    monkeypatch.setattr(table_files, "LARGEST_BYTES", 10)
    (tmp_path / "huge.csv").write_text("kind\n" + "shirt\n" * 10)
    with pytest.raises(ItemFileError, match=r"huge\.csv: the file has 0 MB, more than 0 MB"):
        read_items(tmp_path / "huge.csv", BOOK)


# ---------------------------------------------------------------- workbooks
def workbook(*rows):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def test_a_workbook_reads_as_the_same_file_in_csv():
    content = workbook(
        ["item", "kind", "size", "price", "sold_on", "hole", None],
        [17, "shirt", 41.5, 12.5, dt.date(2026, 3, 31), "none"],
        [],
        ["B2", "shirt", None, 8, dt.datetime(2026, 4, 1)],  # noqa: DTZ001 - cells have no zone
    )
    file = sales_from_bytes(content, "sold.xlsx", BOOK)
    assert file.items.problems == ()
    assert (file.items.items, file.items.sizes) == (("17", "B2"), ("41.5", ""))
    assert file.price.tolist() == [12.5, 8.0]
    assert file.sold_on.astype(str).tolist() == ["2026-03-31", "2026-04-01"]


def test_a_formula_in_a_workbook_is_never_worked_out():
    content = workbook(["kind", "price", "sold_on"], ["shirt", "=6*7", "2026-03-31"])
    file = sales_from_bytes(content, "sold.xlsx", BOOK)
    assert file.items.problems[0].sentence == (
        "Row 2, column price: '=6*7' is not an amount; write it like 12.50, without the currency."
    )
    assert "'=6*7" in bad_rows(file.items)


def test_a_zip_that_is_no_workbook_is_refused():
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("note.txt", "hello")
    with pytest.raises(ItemFileError, match="not a sound Excel workbook"):
        items_from_bytes(stream.getvalue(), "rack.xlsx", BOOK)


# ---------------------------------------------------------------- sales
def test_sales_carry_prices_and_days():
    file = sales("S1,shirt,12.50,2026-03-31,2026-03-01,,14\nS2,shoes,9,2026-04-01,,,\n")
    assert file.items.problems == ()
    assert file.price.tolist() == [12.5, 9.0]
    assert file.sold_on.astype(str).tolist() == ["2026-03-31", "2026-04-01"]
    assert np.isnat(file.put_out_on).tolist() == [False, True]
    assert np.isnan(file.first_ticket).tolist() == [False, True]
    assert np.isnan(file.ticket).all()


AMOUNT = "write it like 12.50, without the currency."
DAY = "write year, month and day like 2026-03-31."


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (
            "S1,shirt,0,2026-03-31,,,",
            "column price: 0 is not above 0 and up to 1,000,000; look at the amount.",
        ),
        ("S1,shirt,-5,2026-03-31,,,", f"column price: '-5' is not an amount; {AMOUNT}"),
        ("S1,shirt,,2026-03-31,,,", f"column price: no amount is given; {AMOUNT}"),
        (
            "S1,shirt,1.250,2026-03-31,,,",
            "column price: 1.250 could be 1250 or 1.250; write it with two decimals or with none.",
        ),
        ("S1,shirt,nan,2026-03-31,,,", f"column price: 'nan' is not an amount; {AMOUNT}"),
        ("S1,shirt,5,31/03/2026,,,", f"column sold_on: '31/03/2026' is not a date; {DAY}"),
        ("S1,shirt,5,2026-02-30,,,", f"column sold_on: '2026-02-30' is not a date; {DAY}"),
        ("S1,shirt,5,,,,", f"column sold_on: no date is given; {DAY}"),
        (
            "S1,shirt,5,2026-03-31,2026-04-01,,",
            "column sold_on: the day is before put_out_on; look at both dates.",
        ),
        ("S1,shirt,5,2026-03-31,,,x", f"column first_ticket: 'x' is not an amount; {AMOUNT}"),
    ],
)
def test_a_bad_sale_is_told_row_column_fault_and_mend(row, sentence):
    file = sales(f"S0,shirt,7,2026-03-01,,,\n{row}\nS2,shirt,8,2026-03-02,,,\n")
    assert [problem.sentence for problem in file.items.problems] == [f"Row 3, {sentence}"]
    assert file.price.tolist() == [7.0, 8.0]


def test_a_sale_carries_the_season_that_it_was_made_in():
    head = "kind,price,sold_on,fibre_shell\n"
    rows = "shirt,9,2026-12-31,wool\nshirt,9,2026-03-01,wool\nshirt,9,2026-03-01,cotton\n"
    assert sales(rows, head).items.readings.seasons == (
        "cold weather, Dec to Feb",
        "cold weather, Mar to May",
        "",
    )


@pytest.mark.parametrize("name", ["price", "sold_on"])
def test_a_sales_file_without_price_or_day_is_refused(name):
    other = {"price": "sold_on", "sold_on": "price"}[name]
    with pytest.raises(ItemFileError, match=f"the column {name} is missing"):
        sales("shirt,1\n", head=f"kind,{other}\n")


def test_a_sales_file_is_read_from_its_path_too(tmp_path):
    (tmp_path / "sold.csv").write_text("kind,price,sold_on\nshirt,5,2026-03-31\n")
    assert read_sales(tmp_path / "sold.csv", BOOK).price.tolist() == [5.0]


# ---------------------------------------------------------------- whatever comes
@given(st.text(max_size=40))
def test_a_guarded_cell_starts_no_formula_and_reads_as_it_was(cell):
    safe = guarded(cell)
    number = not safe.startswith("'") and safe == cell
    assert not safe.startswith(("=", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"))
    assert unguarded(safe) == unguarded(cell) or number


@pytest.mark.parametrize("sign", "=+-@\t\r\n＝＋－＠")
def test_each_sign_that_starts_a_formula_is_guarded(sign):
    """OWASP, "CSV Injection": = + - @, tab, line ends, and their full-width forms."""
    assert guarded(f"{sign}HYPERLINK(1)") == f"'{sign}HYPERLINK(1)"


@pytest.mark.parametrize("cell", ["-3.50", "+12", "-1,5", "17"])
def test_plain_numbers_are_not_guarded(cell):
    assert guarded(cell) == cell


CELL = st.sampled_from(
    [
        "",
        "?",
        "shirt",
        "shoes",
        "kite",
        "usual",
        "14 in 1.25 in",
        "seen 3",
        "none",
        "100% wool",
        "=1+1",
        "a,b",
        'say "so"',
        "é\n",
        "60% ?x",
        "12",
        "\x07",
    ]
)


@given(st.lists(st.lists(CELL, min_size=6, max_size=8), min_size=1, max_size=6))
@settings(max_examples=60, deadline=None)
def test_every_row_is_either_read_or_comes_back_with_its_cells(rows):
    stream = io.StringIO()
    csv.writer(stream).writerows([HEAD.strip().split(","), *rows])
    try:
        file = items(stream.getvalue())
    except ItemFileError:
        assert not any(cell.strip() for row in rows for cell in row)
        return
    bad = list(dict.fromkeys(problem.place for problem in file.problems))
    assert sorted([*file.good.tolist(), *bad]) == list(range(len(file.table.rows)))
    assert len(file.readings) == len(file.items) == len(file.good)
    back = list(csv.reader(io.StringIO(bad_rows(file))))[1:]
    assert [row[1:] for row in back] == [
        [guarded(cell) for cell in file.table.rows[place]] for place in bad
    ]


@given(st.binary(max_size=120))
@example(b"kind;size\rshirt;M\r")
@example(b'a\rb"\n1')
@settings(deadline=None)
def test_any_bytes_give_items_or_one_sentence(content):
    try:
        items_from_bytes(content, "rack.csv", BOOK)
    except ItemFileError as fault:
        assert fault.sentence.endswith(".")
