"""Take-in sheets and statements as CSV: a line for each thing, amounts exact, days as ISO 8601.

A statement begins with what was carried over and ends with what is owed; the amounts between lead
from one to the other, so that a spreadsheet can check them.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import date
from io import StringIO

from resale.selling.consignment.statement import Statement, StatementLine
from resale.selling.consignment.take_in import TakeIn
from resale.selling.consignment.wording import reasons_line
from resale.selling.tickets.paper_money import MoneyWriter, PaperMoney

_TAKE_IN = (
    "line",
    "item",
    "kind",
    "size",
    "taken_in",
    "last_day",
    "first_price",
    "low",
    "high",
    "share_at_first_price",
    "currency",
    "reasons",
)
_STATED = (
    "line",
    "day",
    "item",
    "kind",
    "size",
    "price",
    "share",
    "amount",
    "currency",
    "words",
    "reasons",
)


def take_in_csv(take_in: TakeIn, money: MoneyWriter) -> bytes:
    """Write the items of a take-in sheet (UTF-8 with a mark that spreadsheets know it by).

    Parameters
    ----------
    take_in : TakeIn
        The sheet, with its items in the order in which they were brought.
    money : MoneyWriter
        Writes minor units as an amount in the shop's currency.

    Returns
    -------
    bytes
        A row for each item under a row of headings.
    """
    paper = PaperMoney(money)
    last = take_in.terms.last_day(take_in.day)
    return _file(
        _TAKE_IN,
        (
            (
                "item",
                _text(item.number),
                _text(item.kind),
                _text(item.size),
                take_in.day.isoformat(),
                last.isoformat(),
                *(
                    "" if item.ticket is None or minor is None else _amount(paper, minor)
                    for minor in (item.ticket, item.low, item.high, take_in.to_consignor(item))
                ),
                money.currency,
                _text(reasons_line(item.reasons, paper)),
            )
            for item in take_in.items
        ),
    )


def statement_csv(statement: Statement, money: MoneyWriter) -> bytes:
    """Write what was owed, the lines of a statement, and what is owed now.

    Parameters
    ----------
    statement : Statement
        A statement, closed or not.
    money : MoneyWriter
        Writes minor units as an amount in the shop's currency.

    Returns
    -------
    bytes
        A row for what was owed before, one for each line, and one for what is owed now.
    """
    paper = PaperMoney(money)

    def sum_line(name: str, day: date, amount: int) -> tuple[str, ...]:
        blank = ("",) * 5
        return (name, day.isoformat(), *blank, _amount(paper, amount), money.currency, "", "")

    lines = [_stated(line, paper, money.currency) for line in statement.lines]
    begin = sum_line("carried_over", statement.begin, statement.opening)
    return _file(_STATED, [begin, *lines, sum_line("owed", statement.end, statement.closing)])


def _stated(line: StatementLine, paper: PaperMoney, currency: str) -> tuple[str, ...]:
    return (
        line.what,
        line.day.isoformat(),
        *(_text(text) for text in (line.item, line.kind, line.size)),
        "" if line.price is None else _amount(paper, line.price),
        "" if line.share is None else str(line.share),
        _amount(paper, line.amount),
        currency,
        _text(line.words),
        _text(reasons_line(line.reasons, paper)),
    )


def _amount(paper: PaperMoney, minor: int) -> str:
    return str(paper.exact(minor))


def _text(text: str) -> str:
    """Keep a spreadsheet from taking a text for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r", "−"} else text


def _file(head: Sequence[str], lines: Iterable[Sequence[str]]) -> bytes:
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    writer.writerows(lines)
    return out.getvalue().encode("utf-8-sig")
