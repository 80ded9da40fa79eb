"""A child's jacket from the front, and the end of its waist cord laid along a ruler."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from resale.training.drawings.cloth import ruler
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    FACE,
    INK,
    MEDIUM,
    METAL,
    PAPER,
    SOFT_INK,
    label,
    shade,
)
from resale.training.drawings.svg import (
    Node,
    Value,
    circle,
    ellipse,
    group,
    line,
    path,
    polyline,
    rect,
    words,
)

WAIST_Y, WAIST_EXIT, INCH = 198.0, 132.0, 50.0
"""Height of the cord, where it leaves the channel, and drawing units to the inch."""
CORD = "#f3e3c0"


@dataclass(frozen=True, slots=True)
class Jacket:
    """What a child's jacket has.

    Attributes
    ----------
    size : str
        As on its tag.
    inches : float
        Length of the waist cord outside its channel.
    waist_cord : bool
        Without one the waist is elastic.
    toggle, tacked : bool
        A stop at its end; a bar tack that holds it in the channel.
    """

    size: str
    hood_cord: bool
    inches: float
    waist_cord: bool
    toggle: bool
    tacked: bool
    loose_button: bool


def _cord(d: str, name: str) -> list[Node]:
    return [
        path(d, stroke=INK, stroke_width=5, fill="none", stroke_linecap="round"),
        path(d, stroke=CORD, stroke_width=3.2, fill="none", stroke_linecap="round", class_=name),
        path(d, stroke=shade(CORD, 0.35), stroke_width=3.2, fill="none", stroke_dasharray="1 4"),
    ]


def _button(x: float, y: float) -> list[Node]:
    return [
        circle((x, y), 5, fill="#efe6d2", stroke=INK, stroke_width=1.2, class_="button"),
        circle((x - 1.4, y), 0.9, fill=INK),
        circle((x + 1.4, y), 0.9, fill=INK),
    ]


def jacket_view(jacket: Jacket, dice: Random) -> list[Node]:
    """Draw the jacket and the tag with its size.

    Parameters
    ----------
    jacket : Jacket
        What the garment has, and the size on its tag.
    dice : Random
        Chance of this exercise; it moves what teaches nothing.
    """
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    edge: dict[str, Value] = {"stroke": INK, "stroke_width": MEDIUM, "stroke_linejoin": "round"}
    sleeves = [
        "M68 78L26 132L44 146L78 112Z",
        "M156 78L198 132L180 146L146 112Z",
    ]
    body = "M68 76C84 70 140 70 156 76L152 160H72Z"
    hood = "M74 76C64 34 88 12 112 12C136 12 160 34 150 76C136 84 88 84 74 76Z"
    opening = "M88 72C82 44 94 28 112 28C130 28 142 44 136 72C126 80 98 80 88 72Z"
    parts: list[Node] = [
        *(path(d, fill=shade(colour, 0.08), **edge) for d in sleeves),
        path(body, fill=colour, **edge),
        path(hood, fill=shade(colour, -0.1), **edge),
        path(opening, fill=shade(colour, 0.45), **edge),
        path(
            "M84 74C78 40 92 24 112 24C132 24 146 40 140 74",
            fill="none",
            stroke=shade(colour, 0.5),
            stroke_width=1,
            stroke_dasharray="3 2",
        ),
        line((112, 79), (112, 160), stroke=INK, stroke_width=1.2),
        path("M73 150H151", stroke=shade(colour, 0.5), stroke_width=1, stroke_dasharray="3 2"),
        path("M80 120l18 -3v22l-18 2Z", fill=shade(colour, 0.1), **edge),
        path("M144 120l-18 -3v22l18 2Z", fill=shade(colour, 0.1), **edge),
    ]
    parts += [node for y in (92, 110, 144) for node in _button(112, y)]
    if jacket.loose_button:
        parts.append(
            path(
                "M112 120C109 124 114 126 113 130",
                fill="none",
                stroke=INK,
                stroke_width=1,
                class_="loose-thread",
            )
        )
        parts += _button(115, 134)
    else:
        parts += _button(112, 127)
    if jacket.hood_cord:
        parts += _cord("M94 74C92 92 90 98 92 108", "cord hood")
        parts += _cord("M130 74C133 90 130 96 133 104", "cord hood")
    return [*parts, *_tag(jacket.size)]


def _tag(size: str) -> list[Node]:
    return [
        path(
            "M232 88H316V130H232L220 109Z",
            fill="#fbf6ea",
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
        ),
        circle((231, 109), 3, fill=PAPER, stroke=INK, stroke_width=1),
        words(
            (272, 104), "size", font_family=FACE, font_size=11, fill=SOFT_INK, text_anchor="middle"
        ),
        words(
            (272, 124),
            size,
            font_family=FACE,
            font_size=18,
            fill=INK,
            font_weight="bold",
            text_anchor="middle",
            class_="size",
        ),
    ]


def _waist_cord(jacket: Jacket, colour: str) -> list[Node]:
    """A cord in the channel, its eyelet, its tack, and its end along the ruler."""
    end = WAIST_EXIT + jacket.inches * INCH
    parts: list[Node] = [
        path(
            f"M16 {WAIST_Y}H{WAIST_EXIT - 8}",
            stroke=shade(colour, 0.35),
            stroke_width=4,
            stroke_dasharray="2 3",
        ),
        ellipse((WAIST_EXIT - 4, WAIST_Y), 4, 5.5, fill=METAL, stroke=INK, stroke_width=1.2),
    ]
    if jacket.tacked:
        zigzag = [(73 + (6 if k % 2 else 0), WAIST_Y - 8 + 2 * k) for k in range(9)]
        parts.append(
            path(polyline(zigzag), stroke=INK, stroke_width=BOLD, fill="none", class_="bar-tack")
        )
    parts += _cord(f"M{WAIST_EXIT} {WAIST_Y}H{end:.2f}", "cord waist")
    if jacket.toggle:
        parts.append(
            rect(
                end - 8,
                WAIST_Y - 8,
                15,
                16,
                rx=5,
                fill=shade(METAL, 0.35),
                stroke=INK,
                stroke_width=MEDIUM,
                class_="toggle",
            )
        )
    else:
        parts.append(
            rect(
                end - 3,
                WAIST_Y - 3,
                5,
                6,
                rx=1,
                fill=METAL,
                stroke=INK,
                stroke_width=1.0,
                class_="cord-tip",
            )
        )
    return parts


def _gathers(colour: str) -> list[Node]:
    """Elastic in the channel draws the cloth into small folds."""
    return [
        path(
            f"M{x} {WAIST_Y - 12}c3 8 -3 16 0 24",
            fill="none",
            stroke=shade(colour, 0.4),
            stroke_width=1.1,
            class_="gather",
        )
        for x in range(22, int(WAIST_EXIT) - 4, 7)
    ]


def waist_view(jacket: Jacket, *, tacks: bool) -> list[Node]:
    """Draw the channel at the waist and the cord's end over a ruler in inches.

    Parameters
    ----------
    jacket : Jacket
        How far its cord comes out (inches), and what hangs at the end.
    tacks : bool
        Whether the stitches that hold a cord fast are drawn; at the hardest level their absence is
        what has to be seen.
    """
    colour = "#a9a294"
    parts: list[Node] = [
        line((8, 168), (352, 168), stroke=SOFT_INK, stroke_width=0.6, stroke_dasharray="1 3"),
        rect(
            14,
            WAIST_Y - 13,
            WAIST_EXIT - 14,
            26,
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
            class_="channel",
        ),
        path(
            f"M14 {WAIST_Y - 8}H{WAIST_EXIT}M14 {WAIST_Y + 8}H{WAIST_EXIT}",
            stroke=shade(colour, 0.5),
            stroke_width=1,
            stroke_dasharray="3 2",
        ),
        *(_waist_cord(jacket, colour) if jacket.waist_cord else _gathers(colour)),
    ]
    parts.append(
        ruler(
            (WAIST_EXIT, WAIST_Y + 16),
            4 * INCH,
            INCH / 8,
            steps_to_long=8,
            steps_to_middle=4,
            numbers=8,
            height=42,
            unit="inch",
        )
    )
    if tacks and jacket.waist_cord:
        parts.append(
            label(
                (76, WAIST_Y + 28),
                "middle of the back",
                text_anchor="middle",
                font_size=10,
                fill=SOFT_INK,
            )
        )
    parts.append(label((14, 182), "waist, laid out at full width", font_size=11, fill=SOFT_INK))
    return [group(*parts)]
