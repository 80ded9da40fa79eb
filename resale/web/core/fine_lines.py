"""Fine lines of a valuation, drawn: the thread of each row of the seam, the ticks of the band.

Some forty stand in every answer to a tap, so they are written here and not in a template.
"""

from __future__ import annotations

from markupsafe import Markup, escape

from resale.money import Money
from resale.web.core.price_seam import BandBar, SeamRow

# Further to the right an amount would run out of the tape.
LAST_WORD = 94
_HEAD = (
    '<svg class="thread" width="100%" height="100%" aria-hidden="true" focusable="false">'
    '<line class="average" x1="{0}%" x2="{0}%" y1="0" y2="100%"/>'
)


def thread(row: SeamRow, anchor: float) -> Markup:
    """Draw the thread of a row.

    Parameters
    ----------
    row : SeamRow
    anchor : float
        Where the average stands, in percent from the left.
    """
    first, second = ("38%", "66%") if row.has_rule and row.has_sales else ("50%", "50%")
    turns = second if row.has_sales and not row.has_rule else first
    lines = [_HEAD.format(anchor), _run(row.start, row.start, "0", turns)]
    if row.has_rule:
        lines.append(_run(row.start, row.turn, first, first))
    if row.has_rule and row.has_sales:
        lines.append(_run(row.turn, row.turn, first, second))
    if row.has_sales:
        lines.append(_run(row.turn, row.end, second, second, "run sales"))
    lines.append(_run(row.end, row.end, second if row.has_sales else first, "100%"))
    # Numbers and words of ours alone: nothing in it was typed by anybody.
    return Markup("".join(lines) + "</svg>")  # noqa: S704


def ticks(bar: BandBar, money: Money) -> Markup:
    """Draw the ticks of the tape that a band lies on, the long ones with their amount.

    Parameters
    ----------
    bar : BandBar
    money : Money
        By which amounts are written.
    """
    lines = []
    for tick in bar.ticks:
        at, foot = f"{tick.place}%", 28 if tick.long else 23
        lines.append(f'<line class="tick" x1="{at}" x2="{at}" y1="18" y2="{foot}"/>')
        if tick.long and tick.place < LAST_WORD:
            anchor, word = "middle" if tick.place else "start", escape(money.mark(tick.minor))
            where = f'x="{at}" y="42" text-anchor="{anchor}"'
            lines.append(f'<text class="tick-word" {where}>{word}</text>')
    return Markup("".join(lines))  # noqa: S704


def _run(x1: float, x2: float, y1: str, y2: str, how: str = "run") -> str:
    return f'<line class="{how}" x1="{x1}%" x2="{x2}%" y1="{y1}" y2="{y2}"/>'
