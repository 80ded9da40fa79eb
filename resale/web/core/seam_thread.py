"""The thread of one row of the seam, drawn: from where the row before left off to where it ends.

Some twenty stand in every answer to a tap, so they are written here and not in a template.
"""

from __future__ import annotations

from markupsafe import Markup

from resale.web.core.price_seam import SeamRow

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


def _run(x1: float, x2: float, y1: str, y2: str, how: str = "run") -> str:
    return f'<line class="{how}" x1="{x1}%" x2="{x2}%" y1="{y1}" y2="{y2}"/>'
