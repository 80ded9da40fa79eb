"""A test print on plain paper: outlines of the labels and a ruler, before labels are spent."""

from __future__ import annotations

from datetime import datetime

from fpdf import FPDF

from resale.selling.tickets.label_stock import LabelStock
from resale.selling.tickets.lettering import FAMILY, fit, new_page_maker

# The ruler is the longest whole number of these that the printed width holds (mm).
_RULER_STEP = 10.0
_LONGEST_RULER = 150.0
_TICK = 2.0


def trial_sheet_pdf(stock: LabelStock, *, made: datetime | None = None) -> bytes:
    """Print the outline of each label, its place on the sheet, and a ruler.

    Held against a sheet of labels and a light, it shows how far the printer is off.

    Parameters
    ----------
    stock : LabelStock
        The labels that the sheet is held against.
    made : datetime or None, optional
        Moment written into the file; the same moment gives the same bytes.

    Returns
    -------
    bytes
        A PDF of one page.
    """
    pdf = new_page_maker(f"Test print: {stock.name}", stock.page, made=made)
    pdf.add_page()
    for place in range(stock.each_page):
        _outline(pdf, stock, place)
    _ruler(pdf, stock)
    return bytes(pdf.output())


def _outline(pdf: FPDF, stock: LabelStock, place: int) -> None:
    """Draw a label's cut in full, its inked part in dashes, and its place in its corner."""
    left, top = stock.corner(place)
    width, height = stock.label
    across, down = stock.inset
    pdf.set_draw_color(0)
    pdf.set_line_width(0.2)
    pdf.rect(left, top, width, height)
    pdf.set_line_width(0.1)
    pdf.set_dash_pattern(dash=1, gap=1)
    pdf.rect(left + across, top + down, width - 2 * across, height - 2 * down)
    pdf.set_dash_pattern()
    pdf.set_font(FAMILY, "B", 11)
    pdf.text(left + across + 1.2, top + down + 4.2, str(place + 1))


def _ruler(pdf: FPDF, stock: LabelStock) -> None:
    """Draw a ruler across the page, with what to do about it."""
    room = stock.page[0] - 2 * max(stock.inset[0], 6.0)
    length = min(room // _RULER_STEP * _RULER_STEP, _LONGEST_RULER)
    left = (stock.page[0] - length) / 2
    lines, y, pitch = _words(stock, length)
    # A white ground keeps the words off the outlines behind them.
    pdf.set_fill_color(255)
    pdf.rect(left - 2, y - 3, length + 4, 4 + pitch * len(lines), style="F")
    pdf.set_line_width(0.25)
    pdf.line(left, y, left + length, y)
    for mm in range(int(length) + 1):
        tall = _TICK if mm % 10 == 0 else _TICK * 0.7 if mm % 5 == 0 else _TICK * 0.4
        pdf.line(left + mm, y, left + mm, y - tall)
    for row, line in enumerate(lines):
        text, size = fit(pdf, line, length, (10.0, 4.0))
        pdf.set_font(FAMILY, "", size)
        pdf.text(left, y + (row + 0.85) * pitch, text)


def _words(stock: LabelStock, length: float) -> tuple[tuple[str, ...], float, float]:
    """Choose the words for the ruler, where it lies and the pitch of the lines (mm)."""
    if stock.each_page == 1:
        lines = (
            stock.name,
            f"The ruler is {length:g} mm long: measure it.",
            "If not, print at actual size (100 %).",
        )
        return lines, 0.5 * stock.label[1], min(4.5, 0.11 * stock.label[1])
    texts = (
        f"{stock.name}. The ruler is {length:g} mm long: measure it. "
        "If it is not, print again at actual size (100 %).",
        "Then hold this sheet and a sheet of labels against a light: the outlines should meet.",
    )
    # Below the numbers of a row in the middle of the sheet, and above those of the next.
    _, top = stock.corner(stock.rows // 2 * stock.columns)
    return texts, top + stock.inset[1] + 9.0, 4.5
