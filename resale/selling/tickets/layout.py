"""Where the parts of a ticket go on a label of any size, in mm from its top left corner.

A wide label reads from left to right: stitched edge, words, QR mark with the date mark under it. A
tall one reads from top to bottom. The price gets the room that nothing else needs.
"""

from __future__ import annotations

from dataclasses import dataclass

from resale.selling.tickets.label_stock import LabelStock

# Width of the stitched edge with its blank, and the gap between columns (mm).
EDGE = 3.4
GAP = 1.2
# The mark is no larger than a phone asks for, however large the label (mm).
LARGEST_MARK = 20.0
# Share of a label's length that the mark may take; the rest is for words.
MARK_SHARE = 0.42
# Height of the date mark's line (mm).
DATE_LINE = 4.0
# Below these heights of the words' box (mm) a line is left off, the least needed first.
SHOP_FROM = 19.0
TIER_FROM = 23.0
BESIDE_FROM = 29.0


@dataclass(frozen=True)
class Box:
    """A rectangle (mm)."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Bottom edge."""
        return self.y + self.height


@dataclass(frozen=True)
class TicketLayout:
    """The parts of one ticket.

    Attributes
    ----------
    ink : Box
        Nothing is drawn outside it.
    edge : Box
        Stitches run along its longer side.
    words : Box
    mark : Box
        Square of the QR mark with its quiet zone, which may reach beyond `ink`: it is blank.
    date : Box
    """

    ink: Box
    edge: Box
    words: Box
    mark: Box
    date: Box


def ticket_layout(stock: LabelStock, quiet: float) -> TicketLayout:
    """Lay out a ticket.

    Parameters
    ----------
    stock : LabelStock
    quiet : float
        Share of the mark's side that is its blank zone, on each side.
    """
    across, down = stock.inset
    width, height = stock.label
    ink = Box(across, down, width - 2 * across, height - 2 * down)
    if height > 1.1 * width:
        return _tall(ink, quiet)
    return _wide(ink, quiet)


def _wide(ink: Box, quiet: float) -> TicketLayout:
    room = min(ink.height - DATE_LINE, MARK_SHARE * ink.width, LARGEST_MARK)
    # The quiet zone is blank, so it may lie over the label's own blank edge, and half of it over
    # the line below; what is measured from here on is the inked part.
    side = room / (1 - 2 * quiet)
    blank = quiet * side
    inked_left = ink.right - room
    mark = Box(inked_left - blank, ink.y - blank, side, side)
    words_left = ink.x + EDGE
    return TicketLayout(
        ink=ink,
        edge=Box(ink.x, ink.y, EDGE - GAP, ink.height),
        words=Box(words_left, ink.y, inked_left - blank - words_left, ink.height),
        mark=mark,
        date=Box(inked_left, ink.bottom - DATE_LINE + GAP, room, DATE_LINE - GAP),
    )


def _tall(ink: Box, quiet: float) -> TicketLayout:
    room = min(ink.width, MARK_SHARE * ink.height, LARGEST_MARK)
    side = room / (1 - 2 * quiet)
    blank = quiet * side
    inked_top = ink.bottom - DATE_LINE - room
    left = ink.x + (ink.width - room) / 2
    words_top = ink.y + EDGE
    return TicketLayout(
        ink=ink,
        edge=Box(ink.x, ink.y, ink.width, EDGE - GAP),
        words=Box(ink.x, words_top, ink.width, inked_top - blank - words_top),
        mark=Box(left - blank, inked_top - blank, side, side),
        date=Box(ink.x, ink.bottom - DATE_LINE + GAP, ink.width, DATE_LINE - GAP),
    )
