"""QR marks drawn as sharp paths, in whole rows of dark modules."""

from __future__ import annotations

from functools import lru_cache

import segno
from fpdf import FPDF

from resale.errors import ReadingError

# Light modules around a mark, on each side (ISO/IEC 18004 asks for four; from memory).
QUIET = 4
# Phones read modules of this size at a hand's distance (mm; common practice, no source).
LEAST_MODULE = 0.25

Run = tuple[int, int, int]


@lru_cache(maxsize=4096)
def dark_runs(text: str) -> tuple[int, tuple[Run, ...]]:
    """Give a mark's modules a side, and its dark runs as row, first column, length.

    Raises
    ------
    ReadingError
        For a text too long to print small.
    """
    try:
        # The largest correction that costs no larger mark is taken by itself.
        mark = segno.make_qr(text, error="m", boost_error=True)
    except segno.DataOverflowError:
        raise ReadingError(
            f"the text {text[:30]!r} is too long for a QR mark", remedy="use the item's number"
        ) from None
    return len(mark.matrix), tuple(
        (row, start, length)
        for row, line in enumerate(mark.matrix)
        for start, length in _runs(bytes(line))
    )


def module_size(text: str, side: float) -> float:
    """Size of one module (mm) when the mark with its quiet zone fills a square of a side (mm).

    Parameters
    ----------
    text : str
        What the mark holds: the longer, the more modules a side.
    side : float
        Of the square, quiet zone included (mm).

    Returns
    -------
    float
        mm. The quiet zone is 4 modules a side (ISO/IEC 18004).
    """
    modules, _ = dark_runs(text)
    return side / (modules + 2 * QUIET)


def draw_qr(pdf: FPDF, text: str, x: float, y: float, side: float) -> None:
    """Draw a mark with its quiet zone into a square whose top left corner is at x, y (mm).

    Parameters
    ----------
    pdf : FPDF
        The page that is drawn on.
    text : str
        What the mark holds.
    x, y : float
        Top left corner of the square (mm).
    side : float
        Of the square, quiet zone included (mm).
    """
    modules, runs = dark_runs(text)
    module = side / (modules + 2 * QUIET)
    left, top = x + QUIET * module, y + QUIET * module
    # One path, filled once: separate boxes leave hairlines where they touch. The drawing objects
    # of the PDF library take fifteen times as long, hence its own content operators here.
    boxes = (
        _box(pdf, left + start * module, top + row * module, length * module, module)
        for row, start, length in runs
    )
    pdf._out(f"q 0 g {' '.join(boxes)} f Q")


def _box(pdf: FPDF, x: float, y: float, width: float, height: float) -> str:
    """Write a box (mm from the top left) as the path operator of a PDF (points, bottom up)."""
    points = (x * pdf.k, (pdf.h - y - height) * pdf.k, width * pdf.k, height * pdf.k)
    return "{:.3f} {:.3f} {:.3f} {:.3f} re".format(*points)


def _runs(line: bytes) -> list[tuple[int, int]]:
    """Find the runs of ones in a row, as first column and length."""
    runs: list[tuple[int, int]] = []
    for column, dark in enumerate(line):
        if not dark:
            continue
        if runs and sum(runs[-1]) == column:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((column, 1))
    return runs
