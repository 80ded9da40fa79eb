"""Take-in sheets and statements: exact to the minor unit, read back from paper and file."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from resale.errors import ResaleError
from resale.money import Money
from resale.selling.consignment.csv import statement_csv, take_in_csv
from resale.selling.consignment.pdf import statement_pdf, take_in_pdf
from resale.selling.consignment.shares import share_of, share_text
from resale.selling.consignment.statement import (
    NotSold,
    Statement,
    StatementLine,
    figures_of,
    statement_of,
)
from resale.selling.consignment.take_in import (
    Consignor,
    ConsignorTerms,
    PriceReason,
    TakeIn,
    TakeInItem,
)
from resale.selling.consignment.wording import statement_terms
from resale.selling.tickets.label_stock import US_LETTER
from resale.selling.tickets.paper_money import PaperMoney

EURO = Money("EUR", "en_IE")
DAY = date(2026, 11, 25)
REASONS = (PriceReason("wool outside", 420), PriceReason("moth at the cuff", -610))
TERMS = ConsignorTerms(
    Decimal("0.5"), 56, "a charity", ((28, Decimal("0.25")), (42, Decimal("0.5"))), 7
)
WHO = Consignor("C-0042", "Invented Person")


SALE_DAY = date(2026, 10, 20)


def sold(number: int, price: int, **more: object) -> StatementLine:
    share = Decimal("0.5")
    words = (f"Q-{number:05d}", "Shirt", "M", "", price, share)
    return StatementLine(SALE_DAY, "sale", share_of(price, share), *words, **more)  # type: ignore[arg-type]


def account(*lines: StatementLine, opening: int = 0, **more: object) -> Statement:
    said = tuple(statement_terms(TERMS, PaperMoney(EURO)))
    plain = {"passed_on": (), "still_here": 1, "terms": said, "currency": "EUR", **more}
    begin, end = date(2026, 10, 1), date(2026, 10, 31)
    shop = "The Invented Shop"
    return Statement(shop, WHO, 3, begin, end, opening, lines, locale="en_IE", **plain)  # type: ignore[arg-type]


def usual_account() -> Statement:
    return account(
        sold(1, 1235, reasons=REASONS),
        sold(2, 9550),
        StatementLine(SALE_DAY, "deduction", -350, words="Mending of a lining"),
        StatementLine(date(2026, 10, 25), "payout", -1000),
        opening=250,
        passed_on=(NotSold("Q-00003", "Bag", "", date(2026, 10, 28)),),
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


amounts = st.lists(st.integers(-(10**7), 10**7), max_size=12)


@settings(max_examples=20, deadline=None)
@given(amounts, st.integers(-5000, 5000), st.sampled_from(["EUR", "JPY", "KWD"]))
def test_the_file_adds_up_by_itself(said: list[int], opening: int, currency: str) -> None:
    """Decimal sums over the file alone, for currencies of two, no and three decimals."""
    lines = [StatementLine(SALE_DAY, "correction", amount) for amount in said]
    made = account(*lines, opening=opening)
    read = rows(statement_csv(made, Money(currency, "en_IE")))
    found = [Decimal(row["amount"]) for row in read]
    assert sum(found[:-1], Decimal(0)) == found[-1]
    assert made.closing == opening + sum(said)
    assert sum(amount for _, amount in made.sums) == sum(said)


def test_a_statement_on_paper_says_what_its_file_says() -> None:
    made = usual_account()
    said = words(statement_pdf(made, EURO))
    for text in (
        "Statement 3",
        "C-0042 Invented Person",
        "1 still with us",
        "2026-10-20 Q-00001 Shirt M sold €12.35 50 % €6.18",
        "wool outside +4.20, moth at the cuff −6.10",
        "Mending of a lining",
        "2026-10-28 Q-00003 Bag",
        "Carried over €2.50",
        "Your part of what sold €53.93",
        "Taken off -€3.50",
        "Paid to you -€10.00",
        "To be paid to you €42.93",
        "rounded to 0.01, a half in your favour",
        "A closed statement is never changed",
        "the law goes first",
        "For the shop, day",
    ):
        assert text in said, text
    read = rows(statement_csv(made, EURO))
    assert [(row["line"], row["amount"]) for row in read] == [
        ("carried_over", "2.50"),
        ("sale", "6.18"),
        ("sale", "47.75"),
        ("deduction", "-3.50"),
        ("payout", "-10.00"),
        ("owed", "42.93"),
    ]


def test_a_consignor_who_owes_is_told_so_without_a_minus() -> None:
    back = StatementLine(SALE_DAY, "return", -400, "Q-00001", "Shirt", "M", "", -800)
    assert "You owe the shop €4.00" in words(statement_pdf(account(back), EURO))


def test_figures_that_were_kept_print_the_same_bytes() -> None:
    """Through JSON, as the records keep them, with the name from elsewhere."""
    made = usual_account()
    figures = json.loads(json.dumps(figures_of(made)))
    assert "Invented Person" not in json.dumps(figures)
    again = statement_of(figures, "Invented Person")
    assert again == made
    assert statement_pdf(again, EURO) == statement_pdf(made, EURO)
    assert statement_csv(again, EURO) == statement_csv(made, EURO)


def test_what_is_not_closed_says_so_on_paper() -> None:
    assert "Not closed yet" in words(statement_pdf(replace(usual_account(), serial=0), EURO))


def test_a_thing_with_a_share_of_its_own_says_so_on_the_take_in_sheet() -> None:
    sheet = replace(take_in(1), items=(replace(take_in(1).items[0], share=Decimal("0.6")),))
    said = words(take_in_pdf(sheet, EURO))
    assert "Your share 60 %. wool outside" in said and "€14.70" in said


@given(st.decimals(0, 1, places=6))
def test_a_share_as_text_is_the_same_share(share: Decimal) -> None:
    assert Decimal(share_text(share)) == share and len(share_text(share)) <= 12


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
    nameless = replace(usual_account(), consignor=Consignor("C-0042"))
    assert "Invented Person" not in words(statement_pdf(nameless, EURO))
    assert b"Invented Person" not in statement_csv(usual_account(), EURO)


def test_a_text_in_a_file_is_never_a_formula() -> None:
    line = StatementLine(SALE_DAY, "sale", 1, "=1+1", "@kind", "-M", "+x")
    row = rows(statement_csv(account(line), EURO))[1]
    assert (row["item"], row["kind"], row["size"], row["words"]) == (
        "'=1+1",
        "'@kind",
        "'-M",
        "'+x",
    )


def twice() -> TakeIn:
    return replace(take_in(1), items=take_in(1).items * 2)


def late() -> StatementLine:
    return StatementLine(date(2026, 10, 30), "payout", -1)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (twice, "item Q-00000 is listed 2 times"),
        (lambda: account(late(), sold(1, 5)), "do not follow each other by day"),
        (lambda: replace(account(), end=date(2026, 9, 1)), "before it begins"),
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
