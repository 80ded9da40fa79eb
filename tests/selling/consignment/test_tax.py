"""Tax within a sale, against the rule of the law and the examples of others.

Council Directive 2006/112/EC, Articles 312 and 315: the taxable amount is the profit margin
(selling price less purchase price) less the tax that relates to it. So at a rate r the tax within
a margin M is M * r / (1 + r); at 20 % that is a sixth, as the British tax office's guidance on
margin schemes reckons it (gov.uk, 'VAT margin schemes': one-sixth, 16.67 %).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.selling.consignment.tax import TaxTerms, contained_tax

FIFTH = Decimal("0.2")


def test_a_sixth_of_the_margin() -> None:
    """A table bought for 500 and sold for 1,500, what a restorer cost left out: margin 1,000.

    goselfemployed.co, 'VAT Second Hand Margin Scheme': 'the margin is £1,000'; it prints 166.70
    for the tax by taking 16.67 %; a sixth exactly is 166.67.
    """
    assert contained_tax(150000, 50000, TaxTerms("margin", FIFTH)) == 16667


def test_no_tax_where_there_is_no_profit() -> None:
    """The same page: 'If you make a loss on an item then you do not need to pay VAT'."""
    assert contained_tax(40000, 50000, TaxTerms("margin", FIFTH)) == 0


@pytest.mark.parametrize(("rate", "tax"), [("0.2", 2000), ("0.19", 1916), ("0.25", 2400)])
def test_on_the_whole_price(rate: str, tax: int) -> None:
    """By hand: 120.00 holds 20.00 at 20 %, 19.16 at 19 % (120 * 19/119), 24.00 at 25 %."""
    assert contained_tax(12000, 6000, TaxTerms("full", Decimal(rate))) == tax


@given(st.integers(0, 10**7), st.integers(0, 10**7), st.decimals(0, 1, places=4))
def test_the_taxable_amount_and_its_tax_are_the_margin(
    price: int, cost: int, rate: Decimal
) -> None:
    """Article 315 read backwards: taxable amount * rate is the tax, to half a minor unit."""
    tax = contained_tax(price, cost, TaxTerms("margin", rate))
    taxable = max(price - cost, 0) - tax
    exact = Fraction(max(price - cost, 0)) * Fraction(rate) / (1 + Fraction(rate))
    assert abs(tax - exact) <= Fraction(1, 2) and taxable >= 0


def test_a_shop_that_charges_none_keeps_all() -> None:
    assert contained_tax(12000, 6000, TaxTerms()) == 0
