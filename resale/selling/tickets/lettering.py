"""Text on paper: which letters can be printed, how large, and how much of a text fits.

One open typeface (SIL Open Font License) is embedded, so that a ticket looks the same on every
machine. Its figures are all of one width. It draws Latin, Greek and Cyrillic letters and most
signs of currency; a second one stands in where it has no letter, and is embedded only then. What
neither can draw is replaced (`typeface.py`), never printed as an empty box.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Literal

from fpdf import FPDF
from fpdf.prefs import ViewerPreferences

from resale.selling.tickets.typeface import FILES, more_files, runs

Weight = Literal["", "B"]

FAMILY, MORE = "resale", "more"
POINT_MM = 25.4 / 72
ELLIPSIS = "…"
# Height of figures and capitals above the line, and of a comma, a sign of currency or a 'g' below
# it, as shares of the type size: from the typeface's own tables.
CAP_HEIGHT = 0.66
DROP = 0.21
# Room for accents above capitals, as a share of the type size.
ACCENT = 0.25
# Documents carry the day they were made where the caller gives it; a fixed one keeps a ticket
# that is printed again the same to the byte.
_NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)


def new_page_maker(
    title: str, page: tuple[float, float], *, made: datetime | None = None, language: str = "en"
) -> FPDF:
    """Begin a PDF that measures in mm, with the typeface in it and no margins of its own.

    Parameters
    ----------
    title : str
    page : (float, float)
        Width and height of the paper (mm).
    made : datetime, optional
        What the document says of when it was made.
    language : str
        BCP 47 tag, for screen readers.
    """
    # Named upright whatever its shape: the library would turn a wide page on its side.
    pdf = FPDF(orientation="P", unit="mm", format=page)
    pdf.set_margin(0)
    pdf.c_margin = 0
    pdf.set_auto_page_break(False)
    pdf.set_title(title)
    pdf.set_lang(language)
    pdf.set_creation_date(made or _NO_DAY)
    # A label printed 'to fit' misses its label; this asks the viewer for true size.
    pdf.viewer_preferences = ViewerPreferences(display_doc_title=True, print_scaling="None")
    for weight, path in FILES.items():
        pdf.add_font(FAMILY, weight, path)
    return pdf


def text_width(pdf: FPDF, text: str, size: float, weight: Weight = "") -> float:
    """Measure one line of drawable text (mm) at a type size (points).

    Parameters
    ----------
    pdf : FPDF
        The page whose fonts are loaded; its font is changed.
    text : str
        Characters that the font has; see `fit`.
    size : float
        Points.
    weight : Weight, optional
        'B' for bold.

    Returns
    -------
    float
        mm.
    """
    wide = 0.0
    for more, run in runs(text):
        _choose(pdf, size, weight, more=more)
        wide += float(pdf.get_string_width(run))
    return wide


def set_text(pdf: FPDF, x: float, y: float, text: str, size: float, weight: Weight = "") -> float:
    """Set one line of drawable text with its foot at y; gives the width that it took (mm).

    Parameters
    ----------
    pdf : FPDF
        The page that is drawn on.
    x, y : float
        Left end and foot (mm).
    text : str
        Drawable text.
    size : float
        Points.
    weight : Weight, optional
        'B' for bold.

    Returns
    -------
    float
        mm.
    """
    begin = x
    for more, run in runs(text):
        _choose(pdf, size, weight, more=more)
        pdf.text(x, y, run)
        x += float(pdf.get_string_width(run))
    return x - begin


def _choose(pdf: FPDF, size: float, weight: Weight, *, more: bool) -> None:
    """Choose a typeface; the second one comes into the document where a letter needs it."""
    if more and f"{MORE}{weight}" not in pdf.fonts:
        pdf.add_font(MORE, weight, more_files()[weight])
    pdf.set_font(MORE if more else FAMILY, weight, size)


def fit(
    pdf: FPDF, text: str, width: float, sizes: tuple[float, float], weight: Weight = ""
) -> tuple[str, float]:
    """Fit one line into a width: first by smaller type, then by cutting with an ellipsis.

    Parameters
    ----------
    text : str
        Drawable text.
    width : float
        Room (mm).
    sizes : (float, float)
        Largest and smallest type (points).

    Returns
    -------
    (str, float)
        The text that fits, and its type size (points).
    """
    largest, smallest = sizes
    if width <= 0:
        return "", smallest
    natural = text_width(pdf, text, largest, weight)
    if natural <= width:
        return text, largest
    # Widths grow in proportion to the type; a quarter point is as fine as print shows.
    size = int(4 * largest * width / natural) / 4
    if size >= smallest:
        return text, size
    return _cut(pdf, text, width, smallest, weight), smallest


def _cut(pdf: FPDF, text: str, width: float, size: float, weight: Weight) -> str:
    """Keep the longest beginning that fits with an ellipsis after it."""
    few, many = 0, len(text)
    while few < many:
        middle = (few + many + 1) // 2
        if text_width(pdf, text[:middle].rstrip() + ELLIPSIS, size, weight) <= width:
            few = middle
        else:
            many = middle - 1
    return text[:few].rstrip() + ELLIPSIS if few else ""
