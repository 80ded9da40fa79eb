"""Double entry: worked examples of an open textbook, and a checker that is not ours.

OpenStax, *Principles of Accounting, Volume 1: Financial Accounting* (2019), chapter 3: the print
shop 'Printing Plus', January 2019; journal in 3.5, trial balance in 3.6 (openstax.org, free to
read). Its figures were written here from memory; that both sides of the trial balance come to
34,000, as the book prints them, checks them.

Beancount (on the registry, for tests alone) books every entry again in decimals and says what is
out of balance.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from beancount import loader
from beancount.core import realization
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.selling.consignment.double_entry import (
    PAYMENTS,
    Account,
    BookkeepingError,
    Postings,
    added,
    check_balance,
    money,
    owed_to,
)
from resale.selling.consignment.sale_postings import (
    Brought,
    MoneyMoved,
    paid_in_parts,
    postings_of,
)
from resale.selling.consignment.tax import TaxTerms

JANUARY = [
    # (day, {account: debit above 0, credit below}), in dollars
    (3, {"cash": 20000, "common stock": -20000}),
    (5, {"equipment": 3500, "accounts payable": -3500}),
    (9, {"cash": 4000, "unearned revenue": -4000}),
    (10, {"accounts receivable": 5500, "service revenue": -5500}),
    (12, {"utility expense": 300, "cash": -300}),
    (14, {"dividends": 100, "cash": -100}),
    (17, {"cash": 2800, "service revenue": -2800}),
    (18, {"accounts payable": 3500, "cash": -3500}),
    (20, {"salaries expense": 3600, "cash": -3600}),
    (23, {"cash": 5500, "accounts receivable": -5500}),
    (27, {"accounts receivable": 1200, "service revenue": -1200}),
    (30, {"supplies": 500, "accounts payable": -500}),
]
TRIAL_BALANCE = {
    "cash": 24800,
    "accounts receivable": 1200,
    "supplies": 500,
    "equipment": 3500,
    "dividends": 100,
    "salaries expense": 3600,
    "utility expense": 300,
    "accounts payable": -500,
    "unearned revenue": -4000,
    "common stock": -20000,
    "service revenue": -9500,
}


def balances(entries: Iterable[Postings]) -> Postings:
    known = list(entries)
    for one in known:
        check_balance(one)
    return added(*known)


def test_the_textbook_s_month_comes_to_its_trial_balance() -> None:
    entries = [{Account(name): 100 * a for name, a in one.items()} for _, one in JANUARY]
    found = balances(entries)
    assert {account.name: amount / 100 for account, amount in found.items()} == TRIAL_BALANCE
    debits = sum(amount for amount in found.values() if amount > 0)
    assert debits == -sum(amount for amount in found.values() if amount < 0) == 34_000_00


def test_an_entry_out_of_balance_is_refused() -> None:
    """The textbook's entry of 5 January with two figures swapped: 3,500 and 5,300."""
    with pytest.raises(BookkeepingError, match="out of balance by -180000 minor units"):
        balances([{Account("equipment"): 350000, Account("accounts payable"): -530000}])


def checked_by_another(entries: list[tuple[date, Postings]]) -> dict[str, Decimal]:
    """Book entries with beancount and give its balances by our names; errors are raised."""
    names = sorted({account for _, one in entries for account in one})
    ids = {account: f"Assets:A{place}" for place, account in enumerate(names)}
    text = [f"1970-01-01 open {name}" for name in ids.values()]
    for day, one in entries:
        text.append(f'{day} * "entry"')
        text += [f"  {ids[a]}  {Decimal(amount).scaleb(-2)} EUR" for a, amount in one.items()]
    booked, errors, _ = loader.load_string("\n".join(text))
    assert errors == []
    tree = realization.realize(booked)
    sums = {account: realization.get(tree, name) for account, name in ids.items()}
    return {
        f"{account.name}/{account.consignor}": found.balance.get_currency_units("EUR").number
        for account, found in sums.items()
    }


shares = st.decimals(0, 1, places=4)
taxes = st.one_of(
    st.just(TaxTerms()),
    st.builds(TaxTerms, st.sampled_from(["margin", "full"]), st.decimals(0, 1, places=3)),
)
paid = st.dictionaries(st.sampled_from(PAYMENTS), st.integers(1, 10**6), max_size=3)


@st.composite
def lives(draw: st.DrawFn) -> list[MoneyMoved]:
    """Sold and returned in turns, under terms of their own, and passed on perhaps."""
    found, day = [], date(2026, 1, 1)
    for turn in range(draw(st.integers(1, 4))):
        price = draw(st.integers(1, 10**6))
        brought = draw(st.none() | st.builds(Brought, st.integers(1, 3), shares))
        day += timedelta(draw(st.integers(0, 40)))
        how = draw(paid)
        tax = draw(taxes)
        found.append(MoneyMoved(2 * turn, "sold", day, price, how, brought, tax))
        back = draw(st.integers(1, price))
        found.append(MoneyMoved(2 * turn + 1, "returned", day, back, draw(paid)))
    return found if draw(st.booleans()) else found[:-1]


@settings(max_examples=60, deadline=None)
@given(st.lists(lives(), min_size=1, max_size=4))
def test_whatever_is_sold_and_brought_back_balances_and_another_program_agrees(
    many: list[list[MoneyMoved]],
) -> None:
    entries = [
        (place[1], postings) for life in many for place, postings in postings_of(life).items()
    ]
    ours = balances(one for _, one in entries)
    theirs = checked_by_another(entries) if entries else {}
    for account, amount in ours.items():
        assert theirs[f"{account.name}/{account.consignor}"] == Decimal(amount).scaleb(-2)
    assert sum(ours.values()) == 0


@given(lives())
def test_all_that_was_paid_and_not_given_back_is_shared_out(life: list[MoneyMoved]) -> None:
    total = balances(postings_of(life).values())
    kept = sum(one.amount if one.what == "sold" else -one.amount for one in life)
    assert sum(a for account, a in total.items() if account.name.startswith("money")) == kept


@given(st.integers(1, 10**7), shares, taxes)
def test_a_whole_return_leaves_nothing_behind(price: int, share: Decimal, tax: TaxTerms) -> None:
    sale = MoneyMoved(1, "sold", date(2026, 10, 20), price, {}, Brought(7, share), tax)
    back = MoneyMoved(2, "returned", date(2026, 11, 5), price)
    assert balances(postings_of([sale, back]).values()) == {}


def test_a_sale_is_split_to_the_cent() -> None:
    """By hand: 12.35 at a half is 6.175, so 6.18 theirs and 6.17 the shop's."""
    sale = MoneyMoved(1, "sold", date(2026, 10, 20), 1235, {}, Brought(7, Decimal("0.5")))
    assert postings_of([sale])[1, date(2026, 10, 20)] == {
        money("cash"): 1235,
        owed_to(7): -618,
        Account("shop part"): -617,
    }


def test_a_sale_of_before_the_accounts_is_settled_and_only_its_return_counts() -> None:
    day = date(2026, 10, 20)
    sale = MoneyMoved(1, "sold", day, 1000, {}, Brought(7, Decimal("0.5")), entered=False)
    back = MoneyMoved(2, "returned", day, 1000)
    assert postings_of([sale, back]) == {
        (2, day): {money("cash"): -1000, owed_to(7): 500, Account("shop part"): 500}
    }


@given(st.integers(-(10**6), 10**6), paid)
def test_parts_of_a_payment_are_the_whole(amount: int, said: dict) -> None:
    assert sum(paid_in_parts(amount, said).values()) == amount
