"""Take-in sheets and statements on paper, as PDF.

Of a person they print a number and a name, and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time

from resale.selling.consignment.statement import NotSold, Statement, StatementLine
from resale.selling.consignment.take_in import Consignor, TakeIn, TakeInItem
from resale.selling.consignment.wording import (
    HAPPENED,
    SUMS,
    DayWriter,
    percent,
    reasons_line,
    take_in_terms,
)
from resale.selling.tickets.label_stock import A4
from resale.selling.tickets.paper_money import MoneyWriter, PaperMoney
from resale.selling.tickets.paper_sheet import Column, PaperSheet, Row

_TAKE_IN = (
    Column("Item", 2.1),
    Column("What it is", 3.4),
    Column("Size", 1.6),
    Column("First price", 2.2, right=True),
    Column("Most sell between", 3.6, right=True),
    Column("Your share at first price", 3.5, right=True),
)
_STATED = (
    Column("Day", 2.5),
    Column("Item", 1.9),
    Column("What it is", 2.6),
    Column("What happened", 3.4),
    Column("Price", 2.0, right=True),
    Column("Share", 1.3, right=True),
    Column("Yours", 2.1, right=True),
)
_GIVEN = (Column("Passed on", 2.5), Column("Item", 1.9), Column("What it is", 6.0))


def take_in_pdf(
    take_in: TakeIn,
    money: MoneyWriter,
    *,
    write_day: DayWriter = date.isoformat,
    paper: tuple[float, float] = A4,
    made: datetime | None = None,
) -> bytes:
    """Print what a consignor leaves with the shop, on which terms, with lines to sign.

    Parameters
    ----------
    write_day : callable
        Writes a day in the shop's way.
    paper : (float, float)
        Width and height (mm).
    made : datetime, optional
        What the document says of when it was made.
    """
    on_paper = PaperMoney(money)
    sheet = PaperSheet(f"Take-in sheet {take_in.consignor.number}", paper, made)
    sheet.heading(
        take_in.shop,
        "Take-in sheet",
        [
            ("Consignor", _named(take_in.consignor)),
            ("Taken in on", write_day(take_in.day)),
            ("Items", str(len(take_in.items))),
        ],
    )
    rows = [
        Row(
            (item.number, item.kind, item.size, *_prices(take_in, item, on_paper)),
            _below(item, reasons_line(item.reasons, on_paper)),
        )
        for item in take_in.items
    ]
    sheet.table(_TAKE_IN, rows)
    sheet.paragraphs("What we agree", take_in_terms(take_in.terms, take_in.day, write_day))
    sheet.signatures(("For the shop, day", "Consignor, day"))
    return sheet.finish(f"{take_in.shop}, consignor {take_in.consignor.number}")


def _prices(take_in: TakeIn, item: TakeInItem, on_paper: PaperMoney) -> tuple[str, str, str]:
    """First price, band and share; only that it is to be agreed where no price is proposed."""
    share = take_in.to_consignor(item)
    if item.ticket is None or share is None:
        return "to agree", "", ""
    band = f"{on_paper.plain(item.low)} and {on_paper.plain(item.high)}"
    return on_paper.show(item.ticket), band, on_paper.show(share)


def statement_pdf(
    statement: Statement,
    money: MoneyWriter,
    *,
    write_day: DayWriter = date.isoformat,
    paper: tuple[float, float] = A4,
) -> bytes:
    """Print a statement, with lines to sign; the same statement gives the same bytes.

    Parameters
    ----------
    money : MoneyWriter
        In the statement's own currency and locale.
    write_day : callable
        Writes a day in the shop's way.
    paper : (float, float)
        Width and height (mm).
    """
    on_paper = PaperMoney(money)
    made = statement.closed_at or datetime.combine(statement.end, time(), UTC)
    sheet = PaperSheet(f"Statement {statement.name}", paper, made)
    sheet.heading(
        statement.shop,
        f"Statement {statement.serial}" if statement.serial else "Not closed yet",
        [
            ("Consignor", _named(statement.consignor)),
            ("From", f"{write_day(statement.begin)} to {write_day(statement.end)}"),
            ("Items", f"{statement.still_here} still with us"),
        ],
    )
    sheet.table(_STATED, [_stated(line, on_paper, write_day) for line in statement.lines])
    if statement.passed_on:
        sheet.table(_GIVEN, [_given(one, write_day) for one in statement.passed_on])
    sheet.sums(_sums(statement, on_paper.show))
    sheet.paragraphs("How it was reckoned", statement.terms)
    sheet.signatures(("For the shop, day", "Consignor, day"))
    return sheet.finish(f"{statement.shop}, statement {statement.name}")


def _named(consignor: Consignor) -> str:
    return f"{consignor.number}  {consignor.name}".strip()


def _below(item: TakeInItem, reasons: str) -> str:
    """What stands in small under an item: a share of its own first."""
    agreed = "" if item.share is None else f"Your share {percent(item.share)}"
    return ". ".join(part for part in (agreed, reasons) if part)


def _given(one: NotSold, write_day: DayWriter) -> Row:
    return Row((write_day(one.day), one.item, f"{one.kind} {one.size}".strip()))


def _stated(line: StatementLine, money: PaperMoney, write_day: DayWriter) -> Row:
    below = ". ".join(part for part in (line.words, reasons_line(line.reasons, money)) if part)
    return Row(
        (
            write_day(line.day),
            line.item,
            f"{line.kind} {line.size}".strip(),
            HAPPENED[line.what],
            "" if line.price is None else money.show(line.price),
            "" if line.share is None else percent(line.share),
            money.show(line.amount),
        ),
        below,
    )


def _sums(statement: Statement, show: Callable[[int], str]) -> list[tuple[str, str]]:
    """List the sums in the order in which they lead to what is owed."""
    rows = [("Carried over", show(statement.opening))] if statement.opening else []
    rows += [(SUMS[what], show(amount)) for what, amount in statement.sums]
    owed = statement.closing
    rows.append(
        ("You owe the shop", show(-owed)) if owed < 0 else ("To be paid to you", show(owed))
    )
    return rows
