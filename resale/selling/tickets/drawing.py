"""Draws the parts of a ticket: stitched edge, date mark, and lines of type sized by their room."""

from __future__ import annotations

from datetime import date

from fpdf import FPDF

from resale.selling.tickets.date_marks import date_mark
from resale.selling.tickets.layout import Box
from resale.selling.tickets.lettering import (
    ACCENT,
    CAP_HEIGHT,
    DROP,
    FAMILY,
    POINT_MM,
    Weight,
    fit,
    set_text,
    text_width,
)
from resale.selling.tickets.stitch_edges import edge_of

# Thread and distance between two rows of stitches (mm).
THREAD = 0.5
ROW_GAP = 1.1
# Type smaller than this is not read at arm's length (points).
SMALLEST = 6.0
# Between kind and size (mm), and the share of their line that a long size may claim.
WORD_GAP = 1.6
SIZE_SHARE = 0.42


def draw_edge(pdf: FPDF, box: Box, tier: int) -> None:
    """Sew a tier's edge along the longer side of a box.

    Parameters
    ----------
    pdf : FPDF
        The page that is drawn on.
    box : Box
        Where the edge runs: along its left side if it stands, along its top if it lies (mm).
    tier : int
        Place of the tier in the rule book's list, 0 the best; each has an edge of its own, so that
        no colour is needed. Below 0 there is no tier, and no edge.
    """
    if tier < 0:
        return
    edge = edge_of(tier)
    upright = box.height >= box.width
    length = box.height if upright else box.width
    pdf.set_draw_color(0)
    pdf.set_line_width(THREAD)
    for row in range(edge.rows):
        beside = THREAD / 2 + row * ROW_GAP
        for first, last in edge.stitches(length):
            # The library ends its lines in squares of half a thread.
            begin, end = first + THREAD / 2, last - THREAD / 2
            if upright:
                pdf.line(box.x + beside, box.y + begin, box.x + beside, box.y + end)
            else:
                pdf.line(box.x + begin, box.y + beside, box.x + end, box.y + beside)


def draw_date(pdf: FPDF, box: Box, out: date) -> None:
    """Set the date mark in the middle of its line.

    Parameters
    ----------
    pdf : FPDF
        The page that is drawn on.
    box : Box
        The line, its foot at the mark's (mm).
    out : date
        The day on which the item was put out.
    """
    text, size = fit(pdf, f"out {date_mark(out)}", box.width, (9.0, SMALLEST))
    width = pdf.get_string_width(text)
    pdf.set_font(FAMILY, "", size)
    pdf.text(box.x + (box.width - width) / 2, box.bottom - 0.2, text)


class TicketLines:
    """Lines of type in a box, sized by its height: a height is a share of it, as capitals."""

    def __init__(self, pdf: FPDF, box: Box) -> None:
        self.pdf = pdf
        self.box = box
        self.gap = 0.062 * box.height
        self.y = box.y

    def size(self, share: float, sizes: tuple[float, float]) -> tuple[float, float]:
        """Largest and smallest type (points) for capitals of a share of the box's height.

        Parameters
        ----------
        share : float
            Part of the box's height that capitals should take, from 0 to 1.
        sizes : (float, float)
            Largest and smallest type allowed (points).

        Returns
        -------
        (float, float)
            Points. The smallest stays as it was given.
        """
        largest, smallest = sizes
        wanted = share * self.box.height / (CAP_HEIGHT * POINT_MM)
        return max(min(wanted, largest), smallest), smallest

    def down(
        self, text: str, share: float, sizes: tuple[float, float], weight: Weight = ""
    ) -> None:
        """Set a line below the last one.

        Parameters
        ----------
        text : str
            One line; it is made smaller, and cut at last, until it fits the box.
        share : float
            Part of the box's height that its capitals should take.
        sizes : (float, float)
            Largest and smallest type allowed (points).
        weight : Weight, optional
            'B' for bold.
        """
        sizes = self.size(share, sizes)
        if self.y == self.box.y and not text.isascii():
            self.y += ACCENT * sizes[0] * POINT_MM
        self.y += sizes[0] * CAP_HEIGHT * POINT_MM
        self.set(self.box.x, self.y, text, self.box.width, sizes, weight)
        self.y += self.gap

    def kind_and_size(self, kind: str, size: str) -> None:
        """Set kind and size on one line; the size is bold, and keeps its type where it can.

        Parameters
        ----------
        kind : str
            Name of the kind; cut first where both have no room.
        size : str
            Size as it is written on the item; may be empty.
        """
        sizes = self.size(0.11, (15.0, SMALLEST))
        self.y += sizes[0] * CAP_HEIGHT * POINT_MM
        beside = self.box.width - WORD_GAP - text_width(self.pdf, kind, sizes[0])
        room = max(beside, SIZE_SHARE * self.box.width) if kind else self.box.width
        shown, points = fit(self.pdf, size, room, sizes, "B")
        reserved = text_width(self.pdf, shown, points, "B") + WORD_GAP if shown else 0.0
        taken = self.set(self.box.x, self.y, kind, self.box.width - reserved, sizes)
        if shown:
            left = self.box.x + (taken + WORD_GAP if kind else 0.0)
            self.set(left, self.y, shown, reserved, (points, points), "B")
        self.y += self.gap

    def set(
        self,
        x: float,
        y: float,
        text: str,
        width: float,
        sizes: tuple[float, float],
        weight: Weight = "",
    ) -> float:
        """Set a line with its foot at y; gives the width that it took (mm).

        Parameters
        ----------
        x, y : float
            Left end of the line, and its foot (mm).
        text : str
            One line; it is made smaller, and cut at last, until it fits.
        width : float
            Room for it (mm).
        sizes : (float, float)
            Largest and smallest type allowed (points).
        weight : Weight, optional
            'B' for bold.

        Returns
        -------
        float
            mm.
        """
        text, size = fit(self.pdf, text, width, sizes, weight)
        return set_text(self.pdf, x, y, text, size, weight)

    def price(self, now: str, was: str) -> None:
        """Set the price at the foot, as large as the room left allows, the earlier one above it.

        Parameters
        ----------
        now : str
            The price, written out with its currency.
        was : str
            An earlier price to be crossed out above it; empty for none.
        """
        small = self.size(0.085, (11.0, SMALLEST))
        above = small[0] * CAP_HEIGHT * POINT_MM + self.gap if was else 0.0
        room = self.box.bottom - self.y - above
        largest = max(room / ((CAP_HEIGHT + DROP) * POINT_MM), SMALLEST)
        text, size = fit(self.pdf, now, self.box.width, (min(largest, 60.0), SMALLEST), "B")
        foot = self.box.bottom - DROP * size * POINT_MM
        set_text(self.pdf, self.box.x, foot, text, size, "B")
        if was:
            self._crossed_out(was, foot - size * CAP_HEIGHT * POINT_MM - self.gap, small)

    def _crossed_out(self, was: str, y: float, sizes: tuple[float, float]) -> None:
        """Set an earlier price with a line through it; the word 'was' says so without the line."""
        word = self.set(self.box.x, y, "was", self.box.width, sizes) + 1.4
        left = self.box.x + word
        wide = self.set(left, y, was, self.box.width - word, sizes)
        self.pdf.set_line_width(0.3)
        middle = y - 0.45 * sizes[0] * CAP_HEIGHT * POINT_MM
        self.pdf.line(left - 0.3, middle, min(left + wide + 0.3, self.box.right), middle)
