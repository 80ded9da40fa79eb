"""A label as a strip of cloth with lettering on it, and names that nobody bears."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from resale.training.drawings.palette import FACE, INK, MEDIUM, shade
from resale.training.drawings.svg import Node, Value, line, rect, words

STEMS = ("Ostle", "Quibble", "Marrow", "Pumble", "Thrapple", "Wexen", "Grindle", "Ollen", "Brattle")
ENDS = ("thwick", "ford", "mere", "stow", "holm", "beck", "combe", "garth", "ness")
SANS = "'Helvetica Neue', Arial, sans-serif"
"""The lettering of printed labels; woven ones have the serif of the drawings."""


def invented_name(dice: Random) -> str:
    """A maker's name that is made up of two halves; no maker bears it, as far as anybody knows.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    """
    return dice.choice(STEMS) + dice.choice(ENDS)


def misspelt(dice: Random, name: str, far: int) -> str:
    """The same name with a slip of so many letters.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    name : str
    far : int
        3 changes the second half; 2 drops a letter; 1 swaps two that stand side by side.
    """
    if far >= 3:
        stem = next(one for one in STEMS if name.startswith(one))
        return stem + dice.choice([one for one in ENDS if not name.endswith(one)])
    places = [k for k in range(2, len(name) - 2) if name[k] != name[k + 1]]
    at = dice.choice(places)
    if far == 2:
        return name[:at] + name[at + 1 :]
    return name[:at] + name[at + 1] + name[at] + name[at + 2 :]


def strip(
    x: float, y: float, width: float, height: float, colour: str, *, woven: bool
) -> list[Node]:
    """The cloth of a label, with the thread that holds it.

    Parameters
    ----------
    x, y, width, height : float
        In units of the drawing.
    colour : str
        Hex colour.
    woven : bool
        With a woven edge and fine ribs; else smooth and printed.
    """
    parts: list[Node] = [
        rect(x + 2.5, y + 3, width, height, rx=2, fill=INK, fill_opacity=0.16),
        rect(
            x,
            y,
            width,
            height,
            rx=2,
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
            class_="label-cloth",
        ),
    ]
    if woven:
        rib = shade(colour, 0.1)
        count = int((width - 8) / 4)
        parts += [
            line(
                (x + 4 + 4 * k, y + 3),
                (x + 4 + 4 * k, y + height - 3),
                stroke=rib,
                stroke_width=0.8,
                class_="rib",
            )
            for k in range(1, count)
        ]
        parts += [
            line(
                (x + 4, y + at),
                (x + width - 4, y + at),
                stroke=shade(colour, 0.3),
                stroke_width=1.6,
            )
            for at in (5, height - 5)
        ]
    return parts


def said(x: float, y: float, text: str, size: float = 12.0, **more: Value) -> Node:
    """A line of lettering on a label.

    Parameters
    ----------
    x, y : float
        Foot of the first letter, or of the middle by `text_anchor`.
    text : str
    size : float, optional
        At least 10, so that it reads on the narrowest screen.
    **more : Value
        Of the SVG element.
    """
    named: dict[str, Value] = {
        "font_family": FACE,
        "font_size": size,
        "fill": INK,
        "class_": "said",
    }
    return words((x, y), text, **(named | more))


def column(
    x: float, y: float, rows: Sequence[str], size: float, step: float, **more: Value
) -> list[Node]:
    """Lines of lettering under one another.

    Parameters
    ----------
    x, y : float
        Foot of the first line.
    rows : sequence of str
    size, step : float
        Of the lettering, and from line to line.
    **more : Value
        Of each SVG element.
    """
    return [said(x, y + step * k, text, size, **more) for k, text in enumerate(rows)]
