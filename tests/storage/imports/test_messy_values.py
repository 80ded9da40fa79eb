"""Dates and amounts as people write them: read where they can mean one thing, asked where two."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.money import Money
from resale.storage.imports.cells.amounts import AmountStyle, read_messy_amount
from resale.storage.imports.cells.dates import DayStyle, read_messy_day

TODAY = date(2026, 6, 30)
EURO = Money("EUR", "en_IE")
MARCH = date(2026, 3, 31)


def days(*texts, told=None, locale="en"):
    style = DayStyle.of(texts, told)
    return [read_messy_day(text, style, TODAY, locale) for text in texts]


def amounts(*texts, money=EURO, told=None):
    style = AmountStyle.of(texts, money, told)
    return [read_messy_amount(text, style) for text in texts]


# ---------------------------------------------------------------- dates
def test_several_styles_in_one_column_are_one_day():
    texts = ["2026-03-31", "31/03/2026", "31.3.26", "31-03-2026", "20260331", "2026/3/31"]
    assert days(*texts) == [MARCH] * len(texts)
    texts = ["03/31/2026", "2026-03-31 14:05:00", "2026-03-31T14:05", "31 Mar 2026", "31-Mar-26"]
    assert days(*texts) == [MARCH] * len(texts)
    texts = ["March 31, 2026", "31st March 2026", "Mar 31st 2026", "3/31/26 2:05 pm"]
    assert days(*texts) == [MARCH] * len(texts)
    assert days("31. März 2026", locale="de_DE") == days("31 mars 2026", locale="fr_FR") == [MARCH]


def test_one_cell_tells_for_the_whole_column():
    assert days("31/03/2026", "04/03/2026")[1] == date(2026, 3, 4)
    assert days("03/31/2026", "04/03/2026")[1] == date(2026, 4, 3)


def test_each_mark_between_the_numbers_tells_for_itself():
    assert days("31.3.26", "03/31/2026", "4.3.26", "04/03/2026")[2:] == [
        date(2026, 3, 4),
        date(2026, 4, 3),
    ]


@pytest.mark.parametrize("texts", [["04/03/2026"], ["04/03/2026", "31/03/2026", "03/31/2026"]])
def test_where_no_cell_tells_or_two_disagree_both_readings_are_named(texts):
    with pytest.raises(ReadingError, match="04/03/2026 could be 2026-03-04 or 2026-04-03; say"):
        days(*texts)


def test_what_the_user_said_settles_it_and_no_more():
    assert days("04/03/2026", told="day") == [date(2026, 3, 4)]
    assert days("04/03/2026", told="month") == [date(2026, 4, 3)]
    assert days("03/31/2026", told="day") == [MARCH]


def test_a_day_that_is_the_same_either_way_needs_no_asking():
    assert days("05/05/2026") == [date(2026, 5, 5)]


def test_years_of_two_figures_look_back():
    assert days("31.12.25", "31.12.98") == [date(2025, 12, 31), date(1998, 12, 31)]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "No date is given"),
        ("soon", "'soon' is not a date"),
        ("31/02/2026", "'31/02/2026' is not a date"),
        ("4611", "'4611' is not a date"),
        ("2026-07-02", "2026-07-02 is still to come"),
        ("1926-03-31", "1926-03-31 is too long ago"),
        ("31.3", "is not a date"),
        ("2026-03-31 or later", "is not a date"),
        ("0026-03-31", "0026-03-31 is too long ago"),
    ],
)
def test_what_is_no_day_is_said(text, sentence):
    with pytest.raises(ReadingError) as caught:
        days(text)
    assert sentence.casefold() in caught.value.sentence.casefold()


@given(st.dates(date(1970, 1, 1), TODAY))
def test_any_day_written_in_any_style_comes_back(day):
    styles = ("%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%B %d, %Y", "%Y%m%d")
    for style in styles:
        assert days(day.strftime(style)) == [day]
    for style, told in (("%d/%m/%Y", "day"), ("%m/%d/%Y", "month")):
        assert days(day.strftime(style), told=told) == [day]


# ---------------------------------------------------------------- amounts
@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("12,50 €", "12.5"),
        ("€ 1.234,50", "1234.5"),
        ("1,234.50", "1234.5"),
        ("EUR 12.50", "12.5"),
        ("12 euros", "12"),
        ("1'234.50", "1234.5"),
        ("1’234", "1234"),
        ("1\u202f234,50\u00a0€", "1234.5"),
        ("12,-", "12"),
        ("12.--", "12"),
        ("+12", "12"),
        ("12,5", "12.5"),
        ("1.000.000", "1000000"),
        ("0.500", "0.5"),
        (",50", "0.5"),
        ("1,34,500.00", "134500"),
    ],
)
def test_an_amount_is_read_whatever_its_marks(text, amount):
    assert amounts(text) == [Decimal(amount)]


def test_the_column_tells_which_mark_stands_before_the_cents():
    assert amounts("1.250", "9,50") == [1250, Decimal("9.5")]
    assert amounts("1,250", "9.50") == [1250, Decimal("9.5")]
    assert amounts("1.250", "1.250,00")[0] == 1250
    assert amounts("1.250", told=",") == [1250]


@pytest.mark.parametrize("texts", [["1.250"], ["1.250", "9.50"], ["1.250", "9.50", "9,50"]])
def test_an_amount_that_could_be_two_is_asked_about(texts):
    with pytest.raises(ReadingError, match=r"1.250 could be 1250 or 1.250; say which mark"):
        amounts(*texts)


def test_currencies_without_cents_need_no_asking():
    """ISO 4217: JPY has no minor unit, KWD has three decimals."""
    yen = Money("JPY", "ja_JP")
    assert amounts("¥1,250", "￥1.250", "12.00", money=yen) == [1250, 1250, 12]
    with pytest.raises(ReadingError, match="more than the 0 decimals of JPY"):
        amounts("12.50", money=yen)
    assert amounts("1.250", "0.75", money=Money("KWD", "en_GB"))[0] == Decimal("1.25")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "No amount is given"),
        ("free", "'free' is not an amount"),
        ("12 / 15", "'12 / 15' is not an amount"),
        ("about 12", "'about 12' is not an amount"),
        ("12 kg", "'12 kg' is not an amount"),
        ("1e3", "'1e3' is not an amount"),
        ("1.2.3", "'1.2.3' is not an amount"),
        ("1 2", "'1 2' is not an amount"),
        ("-5.00", "-5.00 is below 0"),
        ("(5.00)", "(5.00) is below 0"),
        ("€ −5", "€ −5 is below 0"),
        ("5.00-", "5.00- is below 0"),
        ("0", "0 is not above 0"),
        ("1000001", "is not above 0 and up to"),
        ("12.3333", "has more than the 2 decimals of EUR"),
        ("$12", "$12 is in USD, and the shop counts in EUR"),
        ("12 GBP", "12 GBP is in GBP"),
    ],
)
def test_what_is_no_amount_of_the_shop_s_money_is_said(text, sentence):
    with pytest.raises(ReadingError) as caught:
        amounts(text)
    assert sentence.casefold() in caught.value.sentence.casefold()


@pytest.mark.parametrize(("currency", "locale"), [("CAD", "en_CA"), ("AUD", "en_IE")])
def test_a_bare_dollar_sign_is_the_shop_s_own_dollar(currency, locale):
    assert amounts("$12.50", money=Money(currency, locale)) == [Decimal("12.5")]


@given(st.integers(1, 10**8), st.sampled_from(["en_IE", "de_DE", "fr_FR", "de_CH", "en_IN"]))
def test_an_amount_written_by_any_locale_comes_back(minor, locale):
    money = Money("EUR", locale)
    assert amounts(money.show(minor), money=money) == [Decimal(minor) / 100]
    assert amounts(money.plain(minor), money=money) == [Decimal(minor) / 100]


# ---------------------------------------------------------------- whatever is typed
@given(st.lists(st.one_of(st.text(), st.text("0123456789.,-/' €$EURmar")), min_size=1, max_size=5))
def test_whatever_is_typed_it_is_read_or_refused_in_a_sentence(texts):
    for read in (days, amounts):
        try:
            read(*texts)
        except ReadingError as fault:
            assert fault.sentence.endswith(".")
