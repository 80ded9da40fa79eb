"""The table of settings, and money as the shop writes it."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from babel.localedata import locale_identifiers
from babel.numbers import format_currency, format_decimal

from resale.config.reference import settings_table
from resale.config.settings import Settings, choices_of, read_settings
from resale.errors import SettingError
from resale.money import Money
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.consignment.take_in import ConsignorTerms
from resale.selling.markdown.terms import SellingTerms
from resale.selling.tickets.label_stock import STOCKS


def test_what_the_program_is_started_with_goes_before_environment_before_file(
    tmp_path: Path,
) -> None:
    (tmp_path / "shop.toml").write_text('name = "File"\nwage = 10\ncurrency = "GBP"\n')
    environment = {"RESALE_NAME": "Environment", "RESALE_WAGE": "12"}
    settings = read_settings(tmp_path, environment=environment, name="Start")
    assert (settings.name, settings.wage, settings.currency) == ("Start", 12, "GBP")


def test_lists_and_tables_are_written_in_the_environment_as_in_the_file(tmp_path: Path) -> None:
    environment = {
        "RESALE_TICKET_STEPS": "[{under = 10, step = 0.5}, {under = inf, step = 1}]",
        "RESALE_TIER_NAMES": '{showpiece = "Window"}',
    }
    settings = read_settings(tmp_path, environment=environment)
    assert [step.step for step in ShopTerms.of(settings).steps] == [0.5, 1]
    assert settings.tier_names == {"showpiece": "Window"}


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("RESALE_WAGE", "plenty", "RESALE_WAGE: wage = 'plenty' should be a valid number"),
        ("RESALE_WAGE", "-1", "wage = '-1' should be greater than or equal to 0"),
        ("RESALE_CURRENCY", "EURO", "currency = 'EURO' is not an ISO 4217 code"),
        ("RESALE_LOCALE", "Klingon", "locale = 'Klingon' is not a locale"),
        ("RESALE_INVENTED", "perhaps", "invented = 'perhaps' should be a valid boolean"),
        ("RESALE_COVERAGE", "1.2", "coverage = '1.2' should be less than or equal to 0.99"),
        ("RESALE_TICKET_STEPS", "ten", "RESALE_TICKET_STEPS: the value 'ten' cannot be read"),
        ("RESALE_TICKET_STEPS", "[{under = 9, step = 1}]", "has to rise and end with a step under"),
        ("RESALE_CONSIGNOR_SHARE", "1.2", "should be less than or equal to 1"),
        ("RESALE_HABIT", "[0.25, 0.5]", "has to begin with 0 and rise, each below 1"),
        ("RESALE_HABIT", "[]", "is empty; write [0.0] where the shop never marks down"),
        ("RESALE_MARKS", "[0, 0.5, 0.25]", "has to begin with 0 and rise, each below 1"),
        ("RESALE_RAIL_WIDTHS", "{shirt = 0}", "has a width that is not above 0 and up to 200 cm"),
        ("RESALE_TICKET_STOCK", "napkin", "ticket_stock = 'napkin' should be 'a4-3x8', 'a4-3x7'"),
        ("RESALE_PERIODS", "0", "should be greater than or equal to 1"),
        ("RESALE_LENGTH_UNIT", "ell", "length_unit = 'ell' should be 'cm' or 'in'"),
    ],
)
def test_a_wrong_value_stops_the_start_with_name_value_and_remedy(
    tmp_path: Path, name: str, value: str, sentence: str
) -> None:
    with pytest.raises(SettingError) as caught:
        read_settings(tmp_path, environment={name: value})
    assert sentence in caught.value.sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("nmae = 'x'", "shop.toml: nmae is not a setting; use one of"),
        ("wage = ", "shop.toml: the file is not TOML"),
        ("wage = 'x'", "shop.toml: wage = 'x' should be a valid number"),
    ],
)
def test_a_wrong_file_is_named(tmp_path: Path, text: str, sentence: str) -> None:
    (tmp_path / "shop.toml").write_text(text)
    with pytest.raises(SettingError) as caught:
        read_settings(tmp_path, environment={})
    assert sentence in caught.value.sentence


def test_the_table_gives_every_setting_a_default_and_a_sentence() -> None:
    table = settings_table()
    assert {row.name for row in table} == set(Settings.model_fields)
    assert len(table) == len(Settings.model_fields)
    assert all(row.sentence.endswith(".") and row.changes.endswith(".") for row in table)


def test_terms_that_nobody_set_are_those_of_a_shop_that_set_nothing() -> None:
    untouched = Settings()
    # Age excuses wear in a shop; terms by themselves are those of a valuation stored before it did.
    assert ShopTerms.of(untouched) == ShopTerms(old_wear_counts=untouched.old_wear_counts)
    assert SellingTerms.of(untouched) == SellingTerms()


def test_the_stock_that_may_be_set_is_the_stock_that_can_be_printed() -> None:
    assert choices_of("ticket_stock") == tuple(stock.id for stock in STOCKS)


def test_one_setting_serves_plan_and_statement_alike(tmp_path: Path) -> None:
    environment = {
        "RESALE_CONSIGNOR_SHARE": "0.35",
        "RESALE_PERIOD_DAYS": "10",
        "RESALE_PERIODS": "3",
        "RESALE_MARKS": "[0, 0.3, 0.6]",
    }
    settings = read_settings(tmp_path, environment=environment)
    plan, paper = SellingTerms.of(settings), ConsignorTerms.of(settings)
    assert (plan.consignor_share, paper.share) == (0.35, Decimal("0.35"))
    assert plan.period_days * plan.periods == paper.days_kept == 30
    assert plan.marks == (0, 0.3, 0.6)
    assert paper.marks == ((10, Decimal("0.3")), (20, Decimal("0.6")))


@pytest.mark.parametrize(
    ("currency", "locale", "minor", "amount"),
    [
        ("EUR", "en_IE", 123450, "1234.50"),
        ("EUR", "de_DE", 123450, "1234.50"),
        ("JPY", "ja_JP", 1234, "1234"),
        ("KWD", "en_GB", 1234500, "1234.500"),
    ],
)
def test_money_is_written_as_the_locale_does(
    currency: str, locale: str, minor: int, amount: str
) -> None:
    """ISO 4217 minor units: EUR 2, JPY 0, KWD 3 decimals; the rest is the library's to say."""
    shown = Money(currency, locale).show(minor)
    assert shown == format_currency(Decimal(amount), currency, locale=locale)
    assert "".join(filter(str.isdigit, shown)) == amount.replace(".", "")


def test_amounts_without_their_currency_are_written_as_the_library_writes_them() -> None:
    """Babel's `format_decimal` (Unicode CLDR) for amounts and factors, in thirty locales.

    Where a locale groups by an apostrophe, as Switzerland does, Babel takes it for a quote and
    leaves it out; it is put back.
    """
    for locale in sorted(locale_identifiers())[::30]:
        for currency, pattern in (("EUR", "#,##0.00"), ("JPY", "#,##0")):
            money = Money(currency, locale)
            for minor in (0, 7, 12345, 123456789, -4200):
                told = format_decimal(money.amount(minor), format=pattern, locale=locale)
                assert money.plain(minor).replace("'", "") == told
        factor = format_decimal(Decimal("1.2346"), format="0.0000", locale=locale)
        assert money.factor(1.23456) == factor
