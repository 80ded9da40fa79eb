"""Stripes where the sleeve is set in: whether they carry on across the seam."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    MEDIUM,
    SOFT_INK,
    THREAD,
    label,
    note,
    shade,
    shown_line,
)
from resale.training.drawings.svg import Node, Point, circle, group, path, polyline, smooth

TOP, BOTTOM = 18.0, 226.0
LEFT, RIGHT = 6.0, 354.0

MET = Answer("met", "Meets line for line")
NEAR = Answer("near", "Meets roughly: less than a quarter of the repeat out")
OFF = Answer("off", "Does not meet")

# Part of the repeat by which the sleeve is out: least and most, by level.
NEAR_BY = {2: (0.13, 0.21), 3: (0.1, 0.17)}
OFF_BY = {1: (0.38, 0.5), 2: (0.34, 0.5), 3: (0.31, 0.42)}
REPEATS = {1: (40, 50), 2: (30, 36), 3: (42, 48)}
GROUNDS = ("#efe7d8", "#e6e4dc", "#ece0d0")
STRIPES = ("#5f748c", "#7a5f6b", "#5f7a6c", "#8a6148")


@dataclass(frozen=True, slots=True)
class _Layout:
    repeat: float
    start: float
    out: float
    slope: float
    bands: tuple[tuple[float, float, str], ...]
    """Place in the repeat, half width, colour."""


def seam_x(y: float) -> float:
    """Where the armhole seam runs at a height; it bows towards the sleeve."""
    part = (y - TOP) / (BOTTOM - TOP)
    return 204.0 - 46.0 * part * part + 14.0 * part


def _bands(level: int, repeat: float, colour: str) -> tuple[tuple[float, float, str], ...]:
    if level < 3:
        return ((0.0, repeat * 0.2, colour),)
    # Two stripes to the repeat, evenly spaced: a wrong one may meet its neighbour.
    return ((0.0, repeat * 0.13, colour), (repeat / 2, repeat * 0.13, shade(colour, -0.5)))


def _stripe(
    layout: _Layout, middle: float, half: float, colour: str, side: str
) -> tuple[Node, float]:
    """One stripe of one side, ending on the seam; and the height at which it does."""
    if side == "body":
        at = middle
        corners: list[Point] = [
            (LEFT, at - half),
            (seam_x(at - half), at - half),
            (seam_x(at + half), at + half),
            (LEFT, at + half),
        ]
    else:
        at = middle + layout.out
        top, low = at - half, at + half
        corners = [
            (seam_x(top), top),
            (RIGHT, top + layout.slope * (RIGHT - seam_x(top))),
            (RIGHT, low + layout.slope * (RIGHT - seam_x(low))),
            (seam_x(low), low),
        ]
    return path(polyline(corners, closed=True), fill=colour, class_=f"stripe {side}"), at


def _stripes(layout: _Layout, side: str) -> list[Node]:
    parts, steps = [], range(-4, int((BOTTOM - TOP) / layout.repeat) + 3)
    for step in steps:
        for place, half, colour in layout.bands:
            middle = TOP + layout.start + step * layout.repeat + place
            parts.append(_stripe(layout, middle, half, colour, side)[0])
    return parts


def _panels() -> tuple[str, str, str]:
    seam = [(seam_x(y), y) for y in (TOP, 60.0, 100.0, 140.0, 180.0, BOTTOM)]
    curve = smooth(seam)
    body = f"{curve}L{LEFT} {BOTTOM}L{LEFT} {TOP}Z"
    sleeve = f"{curve}L{RIGHT} {BOTTOM}L{RIGHT} {TOP}Z"
    return curve, body, sleeve


def _shown(layout: _Layout, truth: str) -> list[Node]:
    """Where the first wide stripe of each side reaches the seam, and how far apart."""
    shown: list[Node] = []
    for step in range(1, 5):
        at = TOP + layout.start + step * layout.repeat
        if not TOP + 20 < at < BOTTOM - 30:
            continue
        other = at + layout.out
        shown += [
            shown_line(
                f"M{seam_x(at) - 34:.2f} {at:.2f}H{seam_x(at):.2f}"
                f"M{seam_x(other):.2f} {other:.2f}l34 {34 * layout.slope:.2f}"
            ),
            circle((seam_x(at), at), 2.6, fill=THREAD, class_="shown"),
            circle((seam_x(other), other), 2.6, fill=THREAD, class_="shown"),
        ]
    text = {"met": "one line", "near": "a little out", "off": "a step"}[truth]
    return [*shown, note((236, 34), text)]


def _choose(level: int, dice: Random) -> tuple[str, float]:
    truth = dice.choice(("met", "off") if level == 1 else ("met", "near", "off"))
    if truth == "met":
        return truth, 0.0
    if truth == "off" and level == 3 and dice.random() < 0.4:
        return truth, 0.5
    low, high = (NEAR_BY if truth == "near" else OFF_BY)[level]
    return truth, dice.choice((-1, 1)) * dice.uniform(low, high)


def _why(truth: str, part: float, level: int) -> str:
    if truth == "met":
        return "Each stripe of the body carries on in the sleeve from the same point of the seam."
    if level == 3 and abs(part) == 0.5:
        return (
            "Stripe meets stripe, but the dark one meets the pale one: half a repeat out, "
            "so the pattern does not meet."
        )
    verdict = "less than a quarter: roughly met" if truth == "near" else "so it does not meet"
    return f"At the seam the sleeve is out by {abs(part):.0%} of the repeat, {verdict}."


def draw(level: int, dice: Random) -> Drawn:
    """Draw body and sleeve of a striped shirt at the upper armhole.

    Parameters
    ----------
    level : int
        1 asks whether stripes meet; 2 and 3 add a near miss, in finer stripes that slope more; at 3
        some are out by half a repeat.
    dice : Random
        Chance of this exercise.
    """
    truth, part = _choose(level, dice)
    repeat = float(dice.randint(*REPEATS[level]))
    ground, colour = dice.choice(GROUNDS), dice.choice(STRIPES)
    layout = _Layout(
        repeat,
        start=dice.uniform(0, repeat),
        out=part * repeat,
        slope=dice.uniform(0.06, 0.14) * level,
        bands=_bands(level, repeat, colour),
    )
    curve, body, sleeve = _panels()
    drawn = [
        group(
            path(body, fill=filled("ground")), *_stripes(layout, "body"), clip_path=clipped("body")
        ),
        group(
            path(sleeve, fill=filled("ground")),
            *_stripes(layout, "sleeve"),
            clip_path=clipped("sleeve"),
        ),
        path(
            curve,
            stroke=INK,
            stroke_width=6,
            stroke_opacity=0.14,
            fill="none",
            transform="translate(3 0)",
        ),
        path(f"{body}{sleeve}", fill="none", stroke=SOFT_INK, stroke_width=0.8),
        path(curve, stroke=INK, stroke_width=BOLD, fill="none", class_="seam"),
        path(
            curve,
            stroke=shade(ground, 0.5),
            stroke_width=MEDIUM,
            stroke_dasharray="4 3",
            fill="none",
            transform="translate(-7 0)",
        ),
        label((14, 246), "body"),
        label((346, 246), "sleeve", text_anchor="end"),
    ]
    return Drawn(
        question="Do the stripes meet where the sleeve is set in?",
        title="Stripes at the sleeve seam",
        description="Close view of the upper armhole of a striped shirt: the body on the left, "
        "the sleeve on the right, the seam between them.",
        body=drawn,
        shown=_shown(layout, truth),
        truth=truth,
        why=_why(truth, part, level),
        definitions=(
            weave("ground", ground, strength=0.05),
            clip("body", path(body)),
            clip("sleeve", path(sleeve)),
        ),
        answers=(MET, OFF) if level == 1 else (MET, NEAR, OFF),
        height=256,
    )


FAMILY = Family(
    id="sleeve_stripes",
    name="Stripes at the sleeve",
    about="See whether stripes carry on from the body into the sleeve.",
    zone="shoulder",
    signal_ids=("shirt_match_sleeve",),
    draw=draw,
)
