"""Take-in sheets and settlements as CSV: one line an item, amounts exact, days as ISO 8601.

A settlement ends with its sums, each named in the first column, so that a spreadsheet can check
them and a program can leave them off.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from datetime import date
from io import StringIO

from resale.selling.consignment.settlement import Settlement, TakeIn, share_of
from resale.selling.consignment.wording import OUTCOMES, reasons_line
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
_SETTLED = (
    "line",
    "item",
    "kind",
    "size",
    "outcome",
    "day",
    "first_price",
    "sold_for",
    "consignor_part",
    "shop_part",
    "currency",
    "reasons",
)


def take_in_csv(take_in: TakeIn, money: MoneyWriter) -> bytes:
    """Write the items of a take-in sheet (UTF-8 with a mark that spreadsheets know it by)."""
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
                *(_amount(paper, minor) for minor in (item.ticket, item.low, item.high)),
                _amount(paper, share_of(item.ticket, take_in.terms.share)),
                money.currency,
                _text(reasons_line(item.reasons, paper)),
            )
            for item in take_in.items
        ),
    )


def settlement_csv(settlement: Settlement, money: MoneyWriter) -> bytes:
    """Write the items of a settlement, then its sums."""
    paper = PaperMoney(money)
    items = [
        (
            "item",
            _text(item.number),
            _text(item.kind),
            _text(item.size),
            OUTCOMES[item.outcome],
            _day(item.day),
            _amount(paper, item.ticket),
            *(
                "" if item.sold_for is None else _amount(paper, minor)
                for minor in (
                    item.sold_for or 0,
                    settlement.consignor_part(item),
                    settlement.shop_part(item),
                )
            ),
            money.currency,
            _text(reasons_line(item.reasons, paper)),
        )
        for item in settlement.items
    ]
    return _file(_SETTLED, [*items, *_sums(settlement, paper)])


def _sums(settlement: Settlement, paper: PaperMoney) -> list[tuple[str, ...]]:
    """Sums as lines of the same columns; what concerns the consignor stands in that column."""

    def line(name: str, words: str, sold: str, consignor: str, shop: str) -> tuple[str, ...]:
        blank = ("",) * 5
        return (name, *blank, "", sold, consignor, shop, paper.writer.currency, _text(words))

    totals = (settlement.sold_total, settlement.consignor_total, settlement.shop_total)
    lines = [line("total", "", *(_amount(paper, minor) for minor in totals))]
    for one in settlement.deductions:
        lines.append(line("deduction", one.words, "", _amount(paper, -one.amount), ""))
    lines.append(line("paid_before", "", "", _amount(paper, -settlement.paid_before), ""))
    lines.append(line("to_pay", "", "", _amount(paper, settlement.to_pay), ""))
    return lines


def _amount(paper: PaperMoney, minor: int) -> str:
    return str(paper.exact(minor))


def _day(day: date | None) -> str:
    return day.isoformat() if day else ""


def _text(text: str) -> str:
    """Keep a spreadsheet from taking a text for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r", "−"} else text


def _file(head: Sequence[str], lines: Iterable[Sequence[str]]) -> bytes:
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(head)
    writer.writerows(lines)
    return out.getvalue().encode("utf-8-sig")
