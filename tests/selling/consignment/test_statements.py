"""Take-in sheets and settlements: exact to the minor unit, read back from paper and file."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import BytesIO, StringIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from resale.errors import ResaleError
from resale.money import Money
from resale.selling.consignment.csv import settlement_csv, take_in_csv
from resale.selling.consignment.pdf import settlement_pdf, take_in_pdf
from resale.selling.consignment.settlement import (
    Consignor,
    ConsignorTerms,
    Deduction,
    PriceReason,
    SettledItem,
    Settlement,
    TakeIn,
    TakeInItem,
    share_of,
)
from resale.selling.tickets.labels import US_LETTER

EURO = Money("EUR", "en_IE")
DAY = date(2026, 11, 25)
REASONS = (PriceReason("wool outside", 420), PriceReason("moth at the cuff", -610))
TERMS = ConsignorTerms(
    Decimal("0.5"), 56, "a charity", ((28, Decimal("0.25")), (42, Decimal("0.5"))), 7
)
WHO = Consignor("C-0042", "Invented Person")


def sold(number: int, price: int, **more: object) -> SettledItem:
    return SettledItem(f"Q-{number:05d}", "Shirt", "M", 2000, "sold", DAY, price, **more)  # type: ignore[arg-type]


def account(*items: SettledItem, share: str = "0.5", **more: object) -> Settlement:
    terms = ConsignorTerms(Decimal(share), 56, "a charity")
    return Settlement("The Invented Shop", WHO, date(2026, 10, 1), DAY, terms, items, **more)  # type: ignore[arg-type]


def usual_account() -> Settlement:
    return account(
        sold(1, 1235, reasons=REASONS),
        sold(2, 9550),
        SettledItem("Q-00003", "Bag", "", 3200, "passed_on", date(2026, 11, 20)),
        SettledItem("Q-00004", "Shoes", "41", 4100, "unsold"),
        deductions=(Deduction("Mending of a lining", 350),),
        paid_before=1000,
    )


def take_in(many: int = 2) -> TakeIn:
    items = tuple(
        TakeInItem(f"Q-{n:05d}", "Jacket", "52", 2450, 1800, 3100, REASONS) for n in range(many)
    )
    return TakeIn("The Invented Shop", WHO, DAY, TERMS, items)


def words(pdf: bytes) -> str:
    text = "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return " ".join(text.split())


def rows(file: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(file.decode("utf-8-sig"))))


def test_shares_round_a_half_in_the_consignors_favour() -> None:
    """By hand: half of 12.35 is 6.175."""
    assert share_of(1235, Decimal("0.5")) == 618
    one = account(sold(1, 1235))
    assert (one.consignor_total, one.shop_total) == (618, 617)


prices = st.lists(st.integers(0, 10**7), max_size=12)
shares = st.decimals(0, 1, places=4)


@given(prices, shares, st.integers(0, 5000), st.integers(0, 5000))
def test_every_line_and_every_column_adds_up(
    sale_prices: list[int], share: Decimal, off: int, paid: int
) -> None:
    items = [sold(number, price) for number, price in enumerate(sale_prices)]
    made = account(
        *items, share=str(share), deductions=(Deduction("mending", off),), paid_before=paid
    )
    assert made.consignor_total + made.shop_total == made.sold_total == sum(sale_prices)
    assert made.to_pay == made.consignor_total - off - paid
    for item in items:
        exact = Fraction(item.sold_for or 0) * Fraction(share)
        assert abs(made.consignor_part(item) - exact) <= Fraction(1, 2)


@settings(max_examples=20, deadline=None)
@given(prices, shares, st.sampled_from(["EUR", "JPY", "KWD"]))
def test_the_file_adds_up_by_itself(sale_prices: list[int], share: Decimal, currency: str) -> None:
    """Decimal sums over the file alone, for currencies of two, no and three decimals."""
    items = [sold(number, price) for number, price in enumerate(sale_prices)]
    read = rows(settlement_csv(account(*items, share=str(share)), Money(currency, "en_IE")))
    total = next(row for row in read if row["line"] == "total")
    for column in ("sold_for", "consignor_part", "shop_part"):
        lines = [Decimal(row[column]) for row in read if row["line"] == "item"]
        assert sum(lines, Decimal(0)) == Decimal(total[column])
    owed = next(row for row in read if row["line"] == "to_pay")
    assert owed["consignor_part"] == total["consignor_part"]


def test_a_settlement_on_paper_says_what_its_file_says() -> None:
    made = usual_account()
    said = words(settlement_pdf(made, EURO))
    for text in (
        "C-0042 Invented Person",
        "2 sold, 1 still on sale, 1 passed on",
        "sold 2026-11-25 €20.00 €12.35 €6.18",
        "passed on 2026-11-20 €32.00 – –",
        "wool outside +4.20, moth at the cuff −6.10",
        "Sold for €107.85",
        "The shop's part (50 %) -€53.92",
        "Your share (50 %) €53.93",
        "Mending of a lining -€3.50",
        "Paid before -€10.00",
        "To be paid to you €40.43",
        "rounded to 0.01, a half in your favour",
        "the law goes first",
    ):
        assert text in said
    read = rows(settlement_csv(made, EURO))
    amounts = {row["line"]: row["consignor_part"] for row in read if row["line"] != "item"}
    assert amounts == {
        "total": "53.93",
        "deduction": "-3.50",
        "paid_before": "-10.00",
        "to_pay": "40.43",
    }
    assert [row["outcome"] for row in read][:4] == ["sold", "sold", "passed on", "still on sale"]


def test_a_consignor_who_owes_is_told_so_without_a_minus() -> None:
    said = words(settlement_pdf(account(sold(1, 1000), paid_before=900), EURO))
    assert "You owe the shop €4.00" in said


def test_a_take_in_sheet_says_the_terms_in_plain_words() -> None:
    said = words(take_in_pdf(take_in(), EURO, write_day=lambda day: day.strftime("%d/%m/%Y")))
    for text in (
        "Taken in on 25/11/2026",
        "€24.50 18.00 and 31.00 €12.25",
        "wool outside +4.20, moth at the cuff −6.10",
        "You get 50 % of the price at which an item is sold",
        "kept on sale for 56 days, until 20/01/2027",
        "falls by 25 % after 28 days and by 50 % after 42 days",
        "waits 7 days for you to fetch it; after that it is passed on to a charity, and nothing",
        "estimates, not promises",
        "For the shop, day",
    ):
        assert text in said
    read = rows(take_in_csv(take_in(), EURO))
    assert [row["share_at_first_price"] for row in read] == ["12.25", "12.25"]
    assert read[0]["last_day"] == "2027-01-20"


def test_a_long_sheet_repeats_its_titles_and_numbers_its_pages() -> None:
    pages = PdfReader(BytesIO(take_in_pdf(take_in(90), EURO, paper=US_LETTER))).pages
    texts = [page.extract_text() for page in pages]
    assert len(texts) > 2
    for number, text in enumerate(texts, start=1):
        assert f"{number} of {len(texts)}" in text
        assert ("Most sell between" in text) == ("Q-000" in text)
    assert sum(text.count("Q-000") for text in texts) == 90
    assert float(pages[0].mediabox.width) == pytest.approx(612, abs=0.1)


def test_no_more_of_a_person_is_printed_than_number_and_name() -> None:
    """What there is no field for cannot be printed by mistake."""
    assert set(Consignor.__dataclass_fields__) == {"number", "name"}
    nameless = account(sold(1, 1000))
    nameless = Settlement(**{**vars(nameless), "consignor": Consignor("C-0042")})
    assert "Invented Person" not in words(settlement_pdf(nameless, EURO))
    assert b"Invented Person" not in settlement_csv(usual_account(), EURO)


def test_a_text_in_a_file_is_never_a_formula() -> None:
    item = SettledItem("=1+1", "@kind", "-M", 100, "unsold")
    row = rows(settlement_csv(account(item), EURO))[0]
    assert (row["item"], row["kind"], row["size"]) == ("'=1+1", "'@kind", "'-M")


def sheet_with(item: object) -> Settlement:
    return account(item, item)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: SettledItem("Q-1", "Bag", "", 1, "sold"), "Q-1: a sold item has a price"),
        (lambda: SettledItem("Q-1", "Bag", "", 1, "unsold", sold_for=5), "no other item has one"),
        (lambda: sold(1, -5), "a sold item has a price of 0 or more"),
        (lambda: sheet_with(sold(1, 5)), "item Q-00001 is listed 2 times"),
        (lambda: Deduction("mending", -1), "the deduction for mending is below 0"),
        (lambda: ConsignorTerms(Decimal(50), 56, "x"), "the consignor's share is 50"),
        (lambda: ConsignorTerms(Decimal(0), 0, "x"), "kept for no day"),
        (lambda: TakeInItem("Q-1", "Bag", "", 1, 9, 5), "does not run from low to high"),
    ],
)
def test_accounts_that_cannot_be_are_refused_with_a_sentence(
    make: Callable[[], object], said: str
) -> None:
    with pytest.raises(ResaleError) as caught:
        make()
    assert said in caught.value.sentence
