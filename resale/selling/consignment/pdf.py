"""Take-in sheets and settlements on paper, as PDF.

Of a person they print a number and a name, and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime

from resale.selling.consignment.settlement import (
    Consignor,
    SettledItem,
    Settlement,
    TakeIn,
    share_of,
)
from resale.selling.consignment.wording import (
    OUTCOMES,
    DayWriter,
    percent,
    reasons_line,
    settlement_terms,
    take_in_terms,
)
from resale.selling.tickets.labels import A4
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
_SETTLED = (
    Column("Item", 2.1),
    Column("What it is", 2.5),
    Column("Size", 1.4),
    Column("What became of it", 4.3),
    Column("First price", 2.1, right=True),
    Column("Sold for", 2.1, right=True),
    Column("Your share", 2.1, right=True),
)


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
            (
                item.number,
                item.kind,
                item.size,
                on_paper.show(item.ticket),
                f"{on_paper.plain(item.low)} and {on_paper.plain(item.high)}",
                on_paper.show(share_of(item.ticket, take_in.terms.share)),
            ),
            reasons_line(item.reasons, on_paper),
        )
        for item in take_in.items
    ]
    sheet.table(_TAKE_IN, rows)
    sheet.paragraphs("What we agree", take_in_terms(take_in.terms, take_in.day, write_day))
    sheet.signatures(("For the shop, day", "Consignor, day"))
    return sheet.finish(f"{take_in.shop}, consignor {take_in.consignor.number}")


def settlement_pdf(
    settlement: Settlement,
    money: MoneyWriter,
    *,
    write_day: DayWriter = date.isoformat,
    paper: tuple[float, float] = A4,
    made: datetime | None = None,
) -> bytes:
    """Print what became of a consignor's items and what is owed; parameters as `take_in_pdf`."""
    on_paper = PaperMoney(money)
    sheet = PaperSheet(f"Settlement {settlement.consignor.number}", paper, made)
    sheet.heading(
        settlement.shop,
        "Settlement",
        [
            ("Consignor", _named(settlement.consignor)),
            ("From", f"{write_day(settlement.begin)} to {write_day(settlement.end)}"),
            ("Items", _counted(settlement)),
        ],
    )
    rows = [_settled_row(item, settlement, on_paper, write_day) for item in settlement.items]
    sheet.table(_SETTLED, rows)
    sheet.sums(_sums(settlement, on_paper.show))
    terms = settlement_terms(settlement.terms, on_paper)
    sheet.paragraphs("How it was reckoned", terms)
    return sheet.finish(f"{settlement.shop}, consignor {settlement.consignor.number}")


def _named(consignor: Consignor) -> str:
    return f"{consignor.number}  {consignor.name}".strip()


def _counted(settlement: Settlement) -> str:
    """Count items by what became of them, in words."""
    counts = settlement.counts()
    parts = [f"{many} {OUTCOMES[outcome]}" for outcome, many in counts.items() if many]
    return ", ".join(parts) or "none"


def _settled_row(
    item: SettledItem, settlement: Settlement, money: PaperMoney, write_day: DayWriter
) -> Row:
    became = OUTCOMES[item.outcome] + (f" {write_day(item.day)}" if item.day else "")
    sold = item.sold_for is not None
    return Row(
        (
            item.number,
            item.kind,
            item.size,
            became,
            money.show(item.ticket),
            money.show(item.sold_for or 0) if sold else "–",
            money.show(settlement.consignor_part(item)) if sold else "–",
        ),
        reasons_line(item.reasons, money),
    )


def _sums(settlement: Settlement, show: Callable[[int], str]) -> list[tuple[str, str]]:
    """List the sums in the order in which they lead to what is owed."""
    rest = percent(1 - settlement.terms.share)
    rows = [
        ("Sold for", show(settlement.sold_total)),
        (f"The shop's part ({rest})", show(-settlement.shop_total)),
        (f"Your share ({percent(settlement.terms.share)})", show(settlement.consignor_total)),
    ]
    rows += [(one.words, show(-one.amount)) for one in settlement.deductions]
    if settlement.paid_before:
        rows.append(("Paid before", show(-settlement.paid_before)))
    owed = settlement.to_pay
    rows.append(
        ("You owe the shop", show(-owed)) if owed < 0 else ("To be paid to you", show(owed))
    )
    return rows
