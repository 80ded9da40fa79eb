"""Paper tickets: a PDF of label sheets, or of single labels for a roll printer.

A ticket holds what a person needs at arm's length and a phone needs to find the item: number,
kind, size, price in the largest type, the tier's stitched edge, a QR mark, and the week it went
out. The same tickets give the same bytes, so a ticket printed again is the same ticket.

Notes
-----
An earlier price beside the new one may only be shown as local law allows; some laws ask for the
lowest price of the last weeks (EU: Directive 98/6/EC, article 6a, from memory). The shop decides.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from fpdf import FPDF

from resale.errors import ReadingError
from resale.selling.tickets.drawing import SMALLEST, TicketLines, draw_date, draw_edge
from resale.selling.tickets.label_stock import LabelStock
from resale.selling.tickets.layout import (
    BESIDE_FROM,
    SHOP_FROM,
    TIER_FROM,
    Box,
    TicketLayout,
    ticket_layout,
)
from resale.selling.tickets.lettering import fit, new_page_maker
from resale.selling.tickets.paper_money import MoneyWriter, PaperMoney
from resale.selling.tickets.qr import LEAST_MODULE, QUIET, dark_runs, draw_qr, module_size
from resale.selling.tickets.ticket import Ticket
from resale.selling.tickets.typeface import drawable

LONGEST_ADDRESS = 500


def tickets_pdf(
    tickets: Sequence[Ticket],
    stock: LabelStock,
    money: MoneyWriter,
    *,
    shop: str = "",
    start: int = 1,
    used: Collection[int] = (),
    made: datetime | None = None,
) -> bytes:
    """Print tickets onto label stock.

    Parameters
    ----------
    shop : str
        Name at the head of each ticket, where there is room.
    start : int
        First free label of the first sheet, counted from 1 along the rows.
    used : collection of int
        Other labels of the first sheet that are gone.
    made : datetime, optional
        What the document says of when it was made; a fixed day where omitted.

    Raises
    ------
    ReadingError
        Where there is no ticket, or a number too long for a mark.
    SettingError
        Where `start` is no label of the sheet.
    """
    if not tickets:
        raise ReadingError("there is no ticket to print", remedy="choose at least one item")
    paper = PaperMoney(money)
    codes = [scan_text(ticket, stock) for ticket in tickets]
    places = islice(stock.places(start, used), len(tickets))
    pdf = new_page_maker("Tickets", stock.page, made=made)
    last_page = -1
    for ticket, code, (page, place) in zip(tickets, codes, places, strict=True):
        # A first sheet with no free label is not printed blank.
        if page != last_page:
            pdf.add_page()
            last_page = page
        left, top = stock.corner(place)
        frame = _Frame(stock, left, top)
        _draw_mark(pdf, ticket, code, frame)
        _draw_words(pdf, frame.at(_layout(stock, code).words), ticket, paper, drawable(shop))
    return bytes(pdf.output())


def scan_text(ticket: Ticket, stock: LabelStock) -> str:
    """Give what the QR mark of a ticket holds on this stock: its address, or its number.

    Parameters
    ----------
    ticket : Ticket
        What is printed.
    stock : LabelStock
        The labels: on small ones the address would make squares too fine to be read.

    Returns
    -------
    str
        Empty where not even the number fits.
    """
    # Longer addresses are past all labels, and past what the mark can hold at all.
    if not 0 < len(ticket.address) <= LONGEST_ADDRESS:
        return ticket.number
    side = _layout(stock, ticket.address).mark.width
    return ticket.address if module_size(ticket.address, side) >= LEAST_MODULE else ticket.number


@dataclass(frozen=True)
class _Frame:
    """One label on the page: moves boxes of a label to where it lies."""

    stock: LabelStock
    left: float
    top: float

    def at(self, box: Box) -> Box:
        return Box(self.left + box.x, self.top + box.y, box.width, box.height)


def _layout(stock: LabelStock, code: str) -> TicketLayout:
    modules, _ = dark_runs(code)
    return ticket_layout(stock, QUIET / (modules + 2 * QUIET))


def _draw_mark(pdf: FPDF, ticket: Ticket, code: str, frame: _Frame) -> None:
    """Draw all that is no words: QR mark, edge, date mark."""
    layout = _layout(frame.stock, code)
    mark = frame.at(layout.mark)
    draw_qr(pdf, code, mark.x, mark.y, mark.width)
    draw_edge(pdf, frame.at(layout.edge), ticket.tier)
    draw_date(pdf, frame.at(layout.date), ticket.out)


def _draw_words(pdf: FPDF, box: Box, ticket: Ticket, paper: PaperMoney, shop: str) -> None:
    """Set the words from the top down, and the price from the bottom up."""
    line = TicketLines(pdf, box)
    price = paper.show(ticket.price)
    # Nothing is set larger than the price, however long it is.
    _, widest = fit(pdf, price, box.width, (60.0, SMALLEST), "B")
    if shop and box.height >= SHOP_FROM:
        line.down(shop, 0.062, (7.5, SMALLEST))
    line.down(drawable(ticket.number), 0.13, (min(22.0, 0.85 * widest), SMALLEST), "B")
    line.kind_and_size(drawable(ticket.kind), drawable(ticket.size))
    if ticket.tier_name and box.height >= TIER_FROM:
        line.down(drawable(ticket.tier_name), 0.068, (9.0, SMALLEST))
    for words in ticket.beside if box.height >= BESIDE_FROM else ():
        line.down(drawable(words), 0.058, (7.0, SMALLEST))
    line.price(price, paper.show(ticket.was) if ticket.was else "")
