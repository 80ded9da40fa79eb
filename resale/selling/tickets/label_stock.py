"""Label stock by plain geometry: where each label of a sheet lies, in millimetres.

The sizes below are those in which labels are commonly sold (common practice, no source). Margins
differ a little from one box to the next, so a test print comes first; a shop writes its own stock
with the same eight numbers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import count as count_from

from resale.errors import SettingError

# Office printers leave about this much of a sheet's edge blank (mm; common practice, no source).
SHEET_EDGE = 4.5
# Paper wanders by about a millimetre between two sheets; ink stays this far inside a label (mm).
LABEL_EDGE = 2.0
# On a roll the label is the page, and the head is aligned to it (mm).
ROLL_EDGE = 1.2

A4 = (210.0, 297.0)
US_LETTER = (215.9, 279.4)
_INCH = 25.4


@dataclass(frozen=True)
class LabelStock:
    """One kind of label sheet, or one label of a roll (one row, one column). All lengths in mm.

    Attributes
    ----------
    id : str
        Short and lasting, for settings.
    paper : str
        What the paper is called: 'A4', 'US Letter', 'Roll'.
    page : (float, float)
        Width and height of the page.
    columns, rows : int
    label : (float, float)
        Width and height of one label.
    start : (float, float)
        Left and top edge of the first label.
    pitch : (float, float)
        From one label's left (top) edge to the next one's.
    in_inches : bool
        Whether the stock is sold, and so named, in inches.
    """

    id: str
    paper: str
    page: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    start: tuple[float, float] = (0.0, 0.0)
    pitch: tuple[float, float] = (0.0, 0.0)
    in_inches: bool = False

    def __post_init__(self) -> None:
        """Refuse labels that overlap or lie off the page."""
        for way, many, side in ((0, self.columns, "across"), (1, self.rows, "down")):
            self._check_one_way(way, many, side)

    @property
    def name(self) -> str:
        """The stock by its geometry, such as 'A4, 3 by 8, 70 x 37 mm'."""
        grid = "" if self.each_page == 1 else f", {self.columns} by {self.rows}"
        return f"{self.paper}{grid}, {self._size()}"

    @property
    def each_page(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows

    @property
    def inset(self) -> tuple[float, float]:
        """Blank edge kept inside every label, across and down, so that all tickets look alike."""
        if self.each_page == 1:
            return ROLL_EDGE, ROLL_EDGE
        across, down = (
            max(LABEL_EDGE, SHEET_EDGE - min(self.start[way], self._end(way))) for way in (0, 1)
        )
        return across, down

    def corner(self, place: int) -> tuple[float, float]:
        """Left and top edge of the label at a place; 0 is the first, along the rows."""
        row, column = divmod(place, self.columns)
        return self.start[0] + column * self.pitch[0], self.start[1] + row * self.pitch[1]

    def places(self, start: int = 1, used: Collection[int] = ()) -> Iterator[tuple[int, int]]:
        """Give page and place for one label after another, without end.

        Parameters
        ----------
        start : int
            First free label of the first sheet, counted from 1 along the rows.
        used : collection of int
            Other labels of the first sheet that are gone, counted from 1.

        Raises
        ------
        SettingError
            Where `start` is no label of a sheet.
        """
        if not 1 <= start <= self.each_page:
            raise SettingError(
                f"the sheet has labels 1 to {self.each_page}, not {start}",
                where=self.name,
                remedy="count along the rows from the top left to the first free label",
            )
        return self._places(start, frozenset(used))

    def _places(self, start: int, used: frozenset[int]) -> Iterator[tuple[int, int]]:
        for page in count_from():
            for place in range(self.each_page):
                if page or (place + 1 >= start and place + 1 not in used):
                    yield page, place

    def _end(self, way: int) -> float:
        """Paper left after the last label."""
        many = (self.columns, self.rows)[way]
        return self.page[way] - self.start[way] - (many - 1) * self.pitch[way] - self.label[way]

    def _check_one_way(self, way: int, many: int, side: str) -> None:
        if many < 1 or self.label[way] <= 0:
            raise SettingError(
                f"there is no label {side} the page", where=self.id, remedy="give at least one"
            )
        if many > 1 and self.pitch[way] < self.label[way] - 1e-6:
            raise SettingError(
                f"labels overlap {side} the page: {self.label[way]:g} mm each, "
                f"{self.pitch[way]:g} mm apart",
                where=self.id,
                remedy="measure from one label's edge to the same edge of the next",
            )
        if self.start[way] < 0 or self._end(way) < -0.01:
            raise SettingError(
                f"the labels do not fit {side} the page of {self.page[way]:g} mm",
                where=self.id,
                remedy="measure the margin and the distance between labels again",
            )

    def _size(self) -> str:
        if self.in_inches:
            return " x ".join(_inches(side) for side in self.label) + " in"
        return " x ".join(f"{side:g}" for side in self.label) + " mm"


def roll(width: float, height: float) -> LabelStock:
    """Describe the labels of a single-label printer (mm).

    Parameters
    ----------
    width, height : float
        Of one label, as the printer feeds it (mm).

    Returns
    -------
    LabelStock
        A stock with one label a page and no margin round it.
    """
    return LabelStock(f"roll-{width:g}x{height:g}", "Roll", (width, height), 1, 1, (width, height))


def _inches(length: float) -> str:
    """Write a length in inches and eighths."""
    whole, eighths = divmod(round(length / _INCH * 8), 8)
    if not eighths:
        return str(whole)
    below = 8
    while eighths % 2 == 0:
        eighths, below = eighths // 2, below // 2
    return f"{whole} {eighths}/{below}" if whole else f"{eighths}/{below}"


def _letter(id: str, grid: tuple[int, int], *lengths: tuple[float, float]) -> LabelStock:
    """Describe US Letter stock in inches: label, start and pitch."""
    label, start, pitch = ((across * _INCH, down * _INCH) for across, down in lengths)
    return LabelStock(id, "US Letter", US_LETTER, *grid, label, start, pitch, in_inches=True)


STOCKS = (
    LabelStock("a4-3x8", "A4", A4, 3, 8, (70, 37), (0, 0.5), (70, 37)),
    LabelStock("a4-3x7", "A4", A4, 3, 7, (63.5, 38.1), (7.25, 15.15), (66, 38.1)),
    LabelStock("a4-2x7", "A4", A4, 2, 7, (99.1, 38.1), (4.65, 15.15), (101.6, 38.1)),
    LabelStock("a4-4x10", "A4", A4, 4, 10, (48.5, 25.4), (8, 21.5), (48.5, 25.4)),
    LabelStock("a4-5x13", "A4", A4, 5, 13, (38.1, 21.2), (4.75, 10.7), (40.6, 21.2)),
    _letter("letter-3x10", (3, 10), (2.625, 1), (0.1875, 0.5), (2.75, 1)),
    _letter("letter-2x10", (2, 10), (4, 1), (0.15625, 0.5), (4.1875, 1)),
    _letter("letter-2x5", (2, 5), (4, 2), (0.15625, 0.5), (4.1875, 2)),
    roll(57, 32),
    roll(62, 40),
    roll(50, 30),
    roll(40, 60),
)


def stock_named(id: str) -> LabelStock:
    """Find stock by its id.

    Raises
    ------
    SettingError
        Naming all that there is.
    """
    for stock in STOCKS:
        if stock.id == id:
            return stock
    raise SettingError(
        f"there is no label stock {id!r}",
        remedy=f"use one of {', '.join(stock.id for stock in STOCKS)}",
    )
