"""Statements and money between the shop and its consignors: closed, printed, paid, taken back."""

from __future__ import annotations

import csv
from collections import Counter
from datetime import timedelta
from io import StringIO

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.errors import ReadingError
from resale.selling.consignment.double_entry import PAYMENTS, Postings
from resale.services.items.entry import new_key
from resale.services.settlement.owed import NewPayments, accounts_now, dues_now, pay
from resale.services.settlement.papers import statement_closed, statement_file, statement_paper
from resale.services.settlement.payouts import NewMove, note_move, take_back
from resale.services.settlement.statements import close_all, close_statement, open_statement
from resale.web.access.current_user import me
from resale.web.core.days import read_day
from resale.web.core.shop import shop_now
from resale.web.ledger.consignors import CSV, PDF, as_file
from resale.web.ledger.form import read_amount, read_payment

screen = Blueprint("accounts", __name__)


@screen.get("/payments")
def payments() -> ResponseReturnValue:
    """Say who is owed what today, and what all accounts come to."""
    shop, at = shop_now()
    return render_template(
        "ledger/statements/payments.html",
        dues=[one for one in dues_now(shop) if one.owed or one.stated],
        accounts=_by_name(accounts_now(shop)),
        payments=PAYMENTS,
        today=at.date(),
        month_end=at.date().replace(day=1) - timedelta(1),
        key=new_key,
        closed=request.args.get("closed", type=int),
        paid=request.args.get("paid", type=int),
    )


@screen.get("/payments.csv")
def payment_list() -> ResponseReturnValue:
    """Give the payment list as a file: who is to be paid what."""
    shop, at = shop_now()
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(("consignor", "name", "to_pay", "currency"))
    for one in dues_now(shop):
        if one.to_pay:
            row = (one.number, one.name, shop.money.amount(one.to_pay), shop.money.currency)
            writer.writerow(_safe(str(cell)) for cell in row)
    content = out.getvalue().encode("utf-8-sig")
    return as_file(content, CSV, f"payments-{at.date().isoformat()}.csv")


@screen.post("/payments")
def pay_list() -> ResponseReturnValue:
    """Note that those who are ticked were paid."""
    shop, at = shop_now()
    form = request.form
    new = NewPayments(
        form.getlist("pick"),
        read_payment(form.get("payment", "")),
        read_day(form.get("day", ""), at.date()),
        form.get("key", ""),
    )
    found = pay(shop, me(), new, at)
    return redirect(url_for("accounts.payments", paid=len(found)), 303)


@screen.post("/payments/close")
def close_month() -> ResponseReturnValue:
    """Close everybody's statement up to a day."""
    shop, at = shop_now()
    end = read_day(request.form.get("end", ""), at.date())
    closed = close_all(shop, me(), end, at)
    return redirect(url_for("accounts.payments", closed=len(closed)), 303)


@screen.post("/consignors/<number>/close")
def close(number: str) -> ResponseReturnValue:
    """Close one consignor's statement."""
    shop, at = shop_now()
    end = read_day(request.form.get("end", ""), at.date())
    close_statement(shop, me(), number, end, at)
    return redirect(url_for("consignors.one", number=number, now="closed"), 303)


@screen.post("/consignors/<number>/money")
def move(number: str) -> ResponseReturnValue:
    """Note a payout, a deposit or a deduction."""
    shop, at = shop_now()
    form = request.form
    amount = read_amount(form.get("amount", ""), shop.money)
    if amount is None:
        raise ReadingError("no amount is given", where="amount", remedy="write what was paid")
    new = NewMove(
        number.strip().upper(),
        form.get("what", ""),
        amount,
        read_day(form.get("day", ""), at.date()),
        form.get("key", ""),
        read_payment(form.get("payment", "cash")),
        " ".join(form.get("note", "").split()),
        form.get("in_advance") == "1",
    )
    note_move(shop, me(), new, at)
    return redirect(url_for("consignors.one", number=number, now="noted"), 303)


@screen.post("/consignors/<number>/take-back")
def undo(number: str) -> ResponseReturnValue:
    """Take a payout, a deposit or a deduction back."""
    shop, at = shop_now()
    entry = request.form.get("entry", type=int) or 0
    take_back(shop, me(), entry, request.form.get("key", ""), at)
    return redirect(url_for("consignors.one", number=number, now="taken back"), 303)


@screen.get("/consignors/<number>/statement.pdf")
def open_paper(number: str) -> ResponseReturnValue:
    """Print how a consignor's account stands today; it says that it is not closed."""
    shop, at = shop_now()
    found = open_statement(shop, number, at.date())
    return as_file(statement_paper(found), PDF, f"statement-{found.name}.pdf")


@screen.get("/consignors/<number>/statements/<int:serial>.pdf")
def paper(number: str, serial: int) -> ResponseReturnValue:
    """Print a closed statement; the same each time."""
    shop, _ = shop_now()
    found = statement_closed(shop, number, serial)
    return as_file(statement_paper(found), PDF, f"statement-{found.name.replace('/', '-')}.pdf")


@screen.get("/consignors/<number>/statements/<int:serial>.csv")
def file(number: str, serial: int) -> ResponseReturnValue:
    """Give a closed statement as a file."""
    shop, _ = shop_now()
    found = statement_closed(shop, number, serial)
    return as_file(statement_file(found), CSV, f"statement-{found.name.replace('/', '-')}.csv")


@screen.get("/consignors/<number>/statements/<int:serial>")
def statement(number: str, serial: int) -> ResponseReturnValue:
    """Show a closed statement."""
    shop, _ = shop_now()
    found = statement_closed(shop, number, serial)
    return render_template("ledger/statements/closed.html", statement=found)


def _by_name(accounts: Postings) -> list[tuple[str, int]]:
    """Add the consignors' accounts up to one line; all lines together are 0."""
    sums: Counter[str] = Counter()
    for account, amount in accounts.items():
        sums[account.name] += amount
    return sorted(sums.items())


def _safe(text: str) -> str:
    """Keep a spreadsheet from taking a text for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@"} else text
