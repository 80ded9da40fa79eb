"""A test print on plain paper: outlines of the labels and a ruler, before labels are spent."""

from __future__ import annotations

from datetime import datetime

from fpdf import FPDF

from resale.selling.labels import LabelStock
from resale.selling.lettering import FAMILY, fit, new_page_maker

# The ruler is the longest whole number of these that the printed width holds (mm).
_RULER_STEP = 10.0
_LONGEST_RULER = 150.0
_TICK = 2.0


def trial_sheet_pdf(stock: LabelStock, *, made: datetime | None = None) -> bytes:
    """Print the outline of each label, its place on the sheet, and a ruler.

    Held against a sheet of labels and a light, it shows how far the printer is off.
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
    """Draw a ruler across the middle of the page, with what to do about it."""
    across = max(stock.inset[0], 1.0)
    room = stock.page[0] - 2 * max(across, 6.0)
    length = min(room // _RULER_STEP * _RULER_STEP, _LONGEST_RULER)
    left = (stock.page[0] - length) / 2
    y = stock.page[1] * 0.55
    lines = (
        f"{stock.name}. This ruler is {length:g} mm long: measure it.",
        "If it is not, print again at actual size (100 %), not fitted to the page.",
        "Then hold this sheet behind a sheet of labels, against a light.",
    )
    pitch = min(5.0, stock.page[1] * 0.09)
    # A white ground keeps the words off the outlines behind them.
    pdf.set_fill_color(255)
    pdf.rect(left - 2, y - 3.5, length + 4, 6.5 + pitch * len(lines), style="F")
    pdf.set_line_width(0.25)
    pdf.line(left, y, left + length, y)
    for mm in range(int(length) + 1):
        tall = _TICK if mm % 10 == 0 else _TICK * 0.7 if mm % 5 == 0 else _TICK * 0.4
        pdf.line(left + mm, y, left + mm, y - tall)
    for row, line in enumerate(lines):
        text, size = fit(pdf, line, length, (10.0, 4.0))
        pdf.set_font(FAMILY, "", size)
        pdf.text(left, y + 1.5 + (row + 0.75) * pitch, text)
