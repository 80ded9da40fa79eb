"""Tickets: read back by an independent decoder and by text, and never beyond their label."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from itertools import islice, product
from pathlib import Path
from unicodedata import bidirectional, category, normalize

import matplotlib
import pypdfium2
import pytest
import zxingcpp
from babel.numbers import format_currency, get_currency_symbol
from examples import times
from fontTools.ttLib import TTFont
from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageChops
from pypdf import PdfReader

from resale.errors import ReadingError, SettingError
from resale.fonts import REGULAR
from resale.money import Money
from resale.selling.tickets.date_marks import date_mark
from resale.selling.tickets.label_stock import STOCKS, LabelStock, roll, stock_named
from resale.selling.tickets.paper_money import PaperMoney
from resale.selling.tickets.print_tickets import scan_text, tickets_pdf
from resale.selling.tickets.stitch_edges import EDGES, edge_of
from resale.selling.tickets.test_print import trial_sheet_pdf
from resale.selling.tickets.ticket import Ticket
from resale.selling.tickets.typeface import drawable

EURO = Money("EUR", "en_IE")
LONG = pytest.mark.long
DAY = date(2026, 11, 25)
ROLL = roll(57, 32)
SECOND = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf"
ADDRESS = "http://192.168.1.20:8000/ledger/Q-03001"


def ticket(**changes: object) -> Ticket:
    plain = Ticket("Q-03001", "Shirt", "M", 1450, DAY, 0, "Showpiece", ADDRESS)
    return replace(plain, **changes)  # type: ignore[arg-type]


def many_tickets(many: int) -> list[Ticket]:
    return [
        ticket(number=f"Q-{n:05d}", tier=n % 5, address=f"{ADDRESS[:-5]}{n:05d}")
        for n in range(many)
    ]


def pictures(pdf: bytes, dots_per_mm: float = 8.0) -> Iterator[Image.Image]:
    """Draw the pages as a label printer of about 200 dots an inch does."""
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            yield page.render(scale=dots_per_mm * 25.4 / 72).to_pil().convert("L")


def words(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def codes(pdf: bytes) -> list[str]:
    return [code.text for page in pictures(pdf) for code in zxingcpp.read_barcodes(page)]


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.id)
def test_every_mark_is_read_back_from_every_stock(stock: LabelStock) -> None:
    """zxing-cpp shares no code with what drew the marks; 203 dots an inch is a plain printer."""
    tickets = many_tickets(min(stock.each_page + 1, 9))
    read = codes(tickets_pdf(tickets, stock, EURO, shop="The Invented Shop"))
    assert sorted(read) == sorted(scan_text(each, stock) for each in tickets)


def test_an_address_too_long_for_the_label_gives_way_to_the_number() -> None:
    long = ticket(address="http://the-shop-behind-the-old-mill.example/" + "ledger/" * 20)
    longest = replace(long, address=long.address * 20)
    small = stock_named("a4-5x13")
    assert scan_text(long, small) == scan_text(longest, small) == "Q-03001"
    assert codes(tickets_pdf([long], small, EURO)) == ["Q-03001"]
    assert scan_text(ticket(), small) == ADDRESS


def test_the_words_of_a_ticket_are_read_back() -> None:
    shown = words(tickets_pdf([ticket(was=1900)], ROLL, EURO, shop="The Invented Shop"))
    lines = ("The Invented Shop", "Q-03001", "Shirt", "M", "Showpiece", "€14.50", "€19.00")
    for said in (*lines, "was", "out 48-6"):
        assert said in shown


@pytest.mark.parametrize(
    ("currency", "locale", "decimals"),
    [
        ("EUR", "de_DE", 2),
        ("GBP", "en_GB", 2),
        ("USD", "en_US", 2),
        ("JPY", "ja_JP", 0),
        ("SEK", "sv_SE", 2),
        ("PLN", "pl_PL", 2),
        ("CZK", "cs_CZ", 2),
        ("INR", "en_IN", 2),
        ("CHF", "fr_CH", 2),
        ("THB", "th_TH", 2),
        ("ILS", "he_IL", 2),
        ("KWD", "ar_KW", 3),
    ],
)
def test_money_prints_with_its_sign_or_its_code(currency: str, locale: str, decimals: int) -> None:
    """ISO 4217: minor units of each currency, and the code that stands for any sign.

    What a locale writes is asked of Babel's data, which changes with its releases; whether the
    sign can be printed is asked of the two typefaces' own tables of letters.
    """
    sign = normalize("NFKC", get_currency_symbol(currency, locale=locale))
    money = Money(currency, locale)
    # What runs from the right is left to its code: nothing here turns it round.
    turned = {"R", "AL", "AN"} & {bidirectional(letter) for letter in money.show(123450)}
    in_typeface = False
    for path in (REGULAR,) if turned else (REGULAR, SECOND):
        with TTFont(path) as font:
            in_typeface |= all(ord(letter) in font.getBestCmap() for letter in sign)
    said = PaperMoney(money).show(123450)
    printed = words(tickets_pdf([ticket(price=123450)], stock_named("roll-62x40"), money))
    assert said in printed
    assert (sign if in_typeface else currency) in said
    if in_typeface:
        assert plain(said) == plain(
            format_currency(Decimal(123450).scaleb(-decimals), currency, locale=locale)
        )
    assert [int(figure) for figure in said if figure.isdigit()] == [1, 2, 3, 4, 5, 0]


def test_a_ticket_tells_the_buyer_of_fit_and_care_where_it_has_room() -> None:
    told = ticket(beside=("waist 81–84 cm", "dry clean only"))
    assert "dry clean only" in words(tickets_pdf([told], stock_named("roll-62x40"), EURO))
    small = words(tickets_pdf([told], stock_named("a4-5x13"), EURO))
    assert "dry clean" not in small and "14.50" in small


def plain(text: str) -> str:
    """A text without its spaces, of whatever width, and marks of direction."""
    kinds = {"Zs", "Cf"}
    return "".join(one for one in normalize("NFKC", text) if category(one) not in kinds)


def test_letters_that_cannot_be_drawn_become_plain_ones_or_marks() -> None:
    assert drawable("Ťažký  kabát Ж α") == "Ťažký kabát Ж α"
    assert drawable("ｗｏｏｌ 毛") == "wool ?"


anything = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=60)


@settings(max_examples=times(10), deadline=None)
@given(
    st.sampled_from(STOCKS), anything, anything, st.integers(1, 10**9), st.integers(0, 5), anything
)
@example(STOCKS[4], "Quilted overcoat with a hood", "extra extra large", 10**9, 0, "An Old Mill")
@example(stock_named("letter-3x10"), "", "", 1, 0, "ÅỄẪ")
@example(ROLL, "W" * 60, "W" * 60, 10**9, 0, "W" * 60)
def test_no_ink_leaves_its_part_of_the_label(
    stock: LabelStock, kind: str, size: str, price: int, tier: int, shop: str
) -> None:
    long = ticket(kind=kind, size=size, price=price, tier=tier, tier_name=kind, was=price * 2)
    pdf = tickets_pdf([long], stock, EURO, shop=shop, start=stock.each_page)
    page = next(pictures(pdf, 4.0))
    left, top, right, bottom = ink_of(page)
    x, y = stock.corner(stock.each_page - 1)
    across, down = stock.inset
    # Half a dot of a printer is the finest that the picture can tell.
    slack = 0.3
    assert left >= x + across - slack
    assert top >= y + down - slack
    assert right <= x + stock.label[0] - across + slack
    assert bottom <= y + stock.label[1] - down + slack


def ink_of(page: Image.Image, dots_per_mm: float = 4.0) -> tuple[float, ...]:
    """Edges of all that is darker than half grey (mm)."""
    dark = page.point(lambda grey: 255 if grey < 128 else 0)
    box = dark.getbbox()
    assert box is not None
    return tuple(edge / dots_per_mm for edge in box)


def types(pdf: bytes) -> list[tuple[float, str]]:
    """Sizes of type (points) with what is set in them, the largest first."""
    sizes: list[tuple[float, str]] = []
    PdfReader(BytesIO(pdf)).pages[0].extract_text(
        visitor_text=lambda text, cm, tm, font, size: sizes.append((size, text.strip()))
    )
    return sorted((size for size in sizes if size[1]), reverse=True)


@pytest.mark.parametrize(
    ("stock", "price", "was"),
    [
        pytest.param(
            stock,
            price,
            was,
            id=f"{stock.id}-{price}-{was}",
            marks=() if turn == place % 6 else LONG,
        )
        for place, stock in enumerate(STOCKS)
        for turn, (price, was) in enumerate(product((300, 1450, 123450), (None, 200000)))
    ],
)
def test_the_price_is_the_largest_type(stock: LabelStock, price: int, was: int | None) -> None:
    sizes = types(tickets_pdf([ticket(price=price, was=was)], stock, EURO, shop="A Shop"))
    assert sizes[0][1] == EURO.show(price)
    assert sizes[0][0] > sizes[1][0]


def test_the_price_grows_with_the_label() -> None:
    small, wide = (
        types(tickets_pdf([ticket()], stock, EURO))[0][0]
        for stock in (roll(40, 25), stock_named("letter-2x5"))
    )
    assert wide > 2 * small >= 28


def test_a_partly_used_sheet_is_filled_from_its_first_free_label() -> None:
    stock = stock_named("a4-3x8")
    tickets = many_tickets(5)
    pdf = tickets_pdf(tickets, stock, EURO, start=21, used=[23])
    pages = [sorted(code.text for code in zxingcpp.read_barcodes(page)) for page in pictures(pdf)]
    assert [len(page) for page in pages] == [3, 2]
    assert list(islice(stock.places(21, [23]), 4)) == [(0, 20), (0, 21), (0, 23), (1, 0)]
    with pytest.raises(SettingError, match="labels 1 to 24, not 25"):
        tickets_pdf(tickets, stock, EURO, start=25)


def test_a_ticket_printed_again_is_the_same_ticket() -> None:
    first, again = (tickets_pdf([ticket()], ROLL, EURO) for _ in range(2))
    assert first == again


def test_each_tier_has_an_edge_of_its_own_that_needs_no_colour() -> None:
    pages = [next(pictures(tickets_pdf([ticket(tier=tier)], ROLL, EURO))) for tier in range(5)]
    edges = [page.crop((0, 0, 26, page.height)) for page in pages]
    for one, edge in enumerate(edges):
        for other in edges[one + 1 :]:
            assert ImageChops.difference(edge, other).getbbox() is not None
    assert len({(edge.rows, edge.run) for edge in EDGES}) == len(EDGES)
    assert edge_of(9) is EDGES[-1]


@given(st.sampled_from(EDGES), st.floats(10, 200))
def test_stitches_lie_in_the_middle_of_their_edge(edge: object, length: float) -> None:
    stitches = list(edge.stitches(length))  # type: ignore[attr-defined]
    # But for rounding.
    assert stitches[0][0] >= -1e-9
    assert stitches[-1][1] <= length + 1e-9
    assert stitches[0][0] == pytest.approx(length - stitches[-1][1], abs=1e-9)


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.id)
def test_a_test_print_shows_outlines_and_a_ruler_of_its_stated_length(stock: LabelStock) -> None:
    pdf = trial_sheet_pdf(stock)
    shown = words(pdf)
    assert stock.name in shown.replace("\n", " ")
    assert "actual size" in shown
    assert str(stock.each_page) in shown
    assert ink_of(next(pictures(pdf, 4.0)))[0] == pytest.approx(stock.start[0], abs=0.5)


def test_stock_is_named_by_its_geometry_alone() -> None:
    assert stock_named("a4-3x8").name == "A4, 3 by 8, 70 x 37 mm"
    assert stock_named("letter-3x10").name == "US Letter, 3 by 10, 2 5/8 x 1 in"
    assert ROLL.name == "Roll, 57 x 32 mm"
    assert len({stock.id for stock in STOCKS}) == len(STOCKS)
    with pytest.raises(SettingError, match="use one of a4-3x8"):
        stock_named("mine")


@pytest.mark.parametrize(
    ("grid", "label", "pitch", "said"),
    [
        ((3, 8), (70, 37), (60, 37), "labels overlap across the page: 70 mm each, 60 mm apart"),
        ((3, 9), (70, 37), (70, 37), "do not fit down the page of 297 mm"),
        ((0, 8), (70, 37), (70, 37), "no label across the page"),
    ],
)
def test_stock_that_cannot_be_is_refused_with_a_sentence(
    grid: tuple[int, int], label: Sequence[float], pitch: Sequence[float], said: str
) -> None:
    with pytest.raises(SettingError) as caught:
        LabelStock("own", "A4", (210, 297), *grid, label, (0, 0), pitch)  # type: ignore[arg-type]
    assert said in caught.value.sentence


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"price": 0}, "Q-03001: the price is not above nothing"),
        ({"was": 1450}, "Q-03001: the earlier price is not above the new one"),
    ],
)
def test_a_ticket_that_says_nonsense_is_refused(changes: dict[str, int], said: str) -> None:
    with pytest.raises(ReadingError) as caught:
        ticket(**changes)
    assert said in caught.value.sentence
    with pytest.raises(ReadingError, match="choose at least one item"):
        tickets_pdf([], ROLL, EURO)


def test_date_marks_follow_the_weeks_of_iso_8601() -> None:
    """ISO 8601: 1 January 2027 lies in week 53 of 2026, 31 December 2024 in week 1 of 2025
    (from the standard's rule, by hand: week 1 holds the first Thursday)."""
    assert date_mark(date(2027, 1, 1)) == "53-6"
    assert date_mark(date(2024, 12, 31)) == "1-5"


def test_tickets_of_a_whole_rack_fill_their_sheets() -> None:
    tickets = many_tickets(50)
    pdf = tickets_pdf(tickets, stock_named("a4-3x8"), EURO, shop="The Invented Shop")
    assert len(PdfReader(BytesIO(pdf)).pages) == 3
