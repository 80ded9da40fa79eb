"""A written sheet on A4 or US Letter: heading, seam, table that runs over pages, signature lines.

All lengths in mm, type in points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from fpdf import FPDF
from fpdf.enums import MethodReturnValue

from resale.selling.tickets.lettering import (
    FAMILY,
    Weight,
    fit,
    new_page_maker,
    set_text,
    text_width,
)
from resale.selling.tickets.stitch_edges import EDGES
from resale.selling.tickets.typeface import drawable

MARGIN = 18.0
FOOT = 16.0
LINE = 5.2
BODY = 10.0
SMALL = 8.5
SMALL_LINE = 4.1
COLUMN_GAP = 2.5


@dataclass(frozen=True)
class Column:
    """A column of a table: its title, its share of the width, and which way it is set."""

    title: str
    share: float
    right: bool = False


@dataclass(frozen=True)
class Row:
    """A row of a table, and a smaller line under it."""

    cells: tuple[str, ...]
    below: str = ""


class PaperSheet:
    """Writes from the top down and turns the page by itself."""

    def __init__(self, title: str, paper: tuple[float, float], made: datetime | None) -> None:
        self.pdf: FPDF = new_page_maker(title, paper, made=made)
        self.width = paper[0] - 2 * MARGIN
        self.bottom = paper[1] - FOOT - MARGIN / 2
        self.y = 0.0
        self._turn()

    def heading(self, left: str, right: str, below: Sequence[tuple[str, str]]) -> None:
        """Set the head: two titles over a seam, then what the sheet is about, name by name.

        Parameters
        ----------
        left : str
            What the paper is, at the left.
        right : str
            Its number or day, at the right.
        below : Sequence[(str, str)]
            Name and value of each line under the seam.
        """
        self.y += 7
        taken = self._text(left, MARGIN, self.width * 0.55, 18, "B")
        self._text(right, MARGIN + taken + 6, self.width - taken - 6, 13, right=True)
        self.y += 3.5
        self.seam()
        self.y += 6.5
        for name, text in below:
            self._text(name, MARGIN, 30, BODY)
            self._text(text, MARGIN + 32, self.width - 32, BODY, "B")
            self.y += LINE
        self.y += 2

    def seam(self) -> None:
        """Sew a line of long stitches across the sheet."""
        self.pdf.set_draw_color(0)
        self.pdf.set_line_width(0.4)
        for begin, end in EDGES[1].stitches(self.width):
            self.pdf.line(MARGIN + begin, self.y, MARGIN + end, self.y)

    def table(self, columns: Sequence[Column], rows: Sequence[Row]) -> None:
        """Set a table; its titles are repeated on each page.

        Parameters
        ----------
        columns : sequence of Column
            Title, width and side of each column.
        rows : sequence of Row
            Cells in the order of the columns, with small lines below; the first two of these stay
            with their row at the end of a page.
        """
        self._titles(columns)
        for row in rows:
            lines = self._wrapped(row.below, self.width - 4) if row.below else []
            # A row's first small line stays with it; the rest may turn the page.
            if self._turn_for(LINE + 1.6 + SMALL_LINE * min(len(lines), 2)):
                self._titles(columns)
            self.y += LINE
            self._cells(columns, row.cells)
            for line in lines:
                if self._turn_for(SMALL_LINE):
                    self._titles(columns)
                self.y += SMALL_LINE
                self._text(line, MARGIN + 4, self.width - 4, SMALL)
            self.y += 1.6
            self._rule(0.1)

    def sums(self, rows: Sequence[tuple[str, str]]) -> None:
        """Set sums at the right; the last one is what matters."""
        self._turn_for((LINE + 0.8) * len(rows) + 4)
        self.y += 3
        left = MARGIN + self.width * 0.45
        wide = self.width * 0.55
        for place, (name, amount) in enumerate(rows):
            last = place == len(rows) - 1
            if last:
                self.y += 1.6
                self._rule(0.4, left)
            self.y += LINE + (1.2 if last else 0.4)
            size = 13.0 if last else BODY
            weight: Weight = "B" if last else ""
            self._text(name, left, wide * 0.62, size, weight)
            self._text(amount, left, wide, size, weight, right=True)
        self.y += 4

    def paragraphs(self, title: str, texts: Sequence[str]) -> None:
        """Set numbered sentences under a title.

        Parameters
        ----------
        title : str
            Line above them.
        texts : sequence of str
            One paragraph each, numbered from 1.
        """
        wrapped = [self._wrapped(text, self.width - 7, BODY) for text in texts]
        self._turn_for(2 * LINE + LINE * len(wrapped[0]) + 4 if wrapped else LINE)
        self.y += LINE + 4
        self._text(title, MARGIN, self.width, 11, "B")
        for number, lines in enumerate(wrapped, start=1):
            self._turn_for(LINE * len(lines))
            for place, line in enumerate(lines):
                self.y += LINE
                if place == 0:
                    self._text(f"{number}.", MARGIN, 6, BODY)
                self._text(line, MARGIN + 7, self.width - 7, BODY)
        self.y += 2

    def signatures(self, names: Sequence[str]) -> None:
        """Draw lines to sign on, side by side."""
        self._turn_for(26)
        self.y += 20
        each = self.width / len(names)
        self.pdf.set_line_width(0.25)
        for place in range(len(names)):
            left = MARGIN + place * each
            self.pdf.line(left, self.y, left + each - 8, self.y)
        self.y += 4.5
        for place, name in enumerate(names):
            self._text(name, MARGIN + place * each, each - 8, SMALL)

    def finish(self, foot: str) -> bytes:
        """Number the pages and give the PDF."""
        pages = len(self.pdf.pages)
        for page in range(1, pages + 1):
            self.pdf.page = page
            self.y = self.pdf.h - FOOT + 4
            self._text(drawable(foot), MARGIN, self.width * 0.8, SMALL)
            self._text(f"{page} of {pages}", MARGIN, self.width, SMALL, right=True)
        return bytes(self.pdf.output())

    def _titles(self, columns: Sequence[Column]) -> None:
        self.y += LINE + 1
        self._cells(columns, [column.title for column in columns], SMALL, "B")
        self.y += 1.8
        self._rule(0.4)

    def _cells(
        self,
        columns: Sequence[Column],
        cells: Sequence[str],
        size: float = BODY,
        weight: Weight = "",
    ) -> None:
        left = MARGIN
        unit = self.width / sum(column.share for column in columns)
        for column, cell in zip(columns, cells, strict=True):
            wide = column.share * unit
            gap = 0.0 if column is columns[-1] else COLUMN_GAP
            self._text(cell, left, wide - gap, size, weight, right=column.right)
            left += wide

    def _text(
        self,
        text: str,
        x: float,
        width: float,
        size: float,
        weight: Weight = "",
        *,
        right: bool = False,
    ) -> float:
        """Set one line on the present height; gives the width that it took."""
        shown, points = fit(self.pdf, drawable(text), width, (size, 6.0), weight)
        taken = text_width(self.pdf, shown, points, weight)
        left = x + width - taken if right else x
        return set_text(self.pdf, left, self.y, shown, points, weight)

    def _wrapped(self, text: str, width: float, size: float = SMALL) -> list[str]:
        """Break a text into lines that fit a width."""
        self.pdf.set_font(FAMILY, "", size)
        lines = self.pdf.multi_cell(
            width, text=drawable(text), align="L", dry_run=True, output=MethodReturnValue.LINES
        )
        # What comes back depends on `output`, which the library's types cannot tell.
        return cast(list[str], lines)

    def _rule(self, weight: float, left: float = MARGIN) -> None:
        self.pdf.set_draw_color(0)
        self.pdf.set_line_width(weight)
        self.pdf.line(left, self.y, MARGIN + self.width, self.y)

    def _turn_for(self, height: float) -> bool:
        """Turn the page where a height does not fit; says whether it did."""
        if self.y + height <= self.bottom:
            return False
        self._turn()
        return True

    def _turn(self) -> None:
        self.pdf.add_page()
        self.y = MARGIN
