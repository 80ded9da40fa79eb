"""Stitches along a gauge: count them from mark to mark."""

from __future__ import annotations

from random import Random

from resale.garments.measures.stitch_gauge import GAUGES, Gauge, density
from resale.training.drawings.cloth import filled, needle_hole, ruler, stitch, weave
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    FACE,
    FINE,
    INK,
    MEDIUM,
    THREAD,
    mix,
    note,
    shade,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    Value,
    ellipse,
    group,
    line,
    path,
    polyline,
    rect,
    turned,
    words,
)

LEFT, SPAN = 45.0, 270.0
SEAM_Y, EDGE_Y, GAUGE_Y = 118.0, 138.0, 152.0
# A folded note is nearly five times as long as it is wide: its strip leaves the sheet.
LONG = SPAN * 4.7
# Least and most stitches of a level: more stitches on the same paper are smaller.
COUNTS = {1: (7, 12), 2: (11, 17), 3: (15, 22)}
# How much of the cloth's own colour is in the thread.
BLEND = {1: 0.0, 2: 0.45, 3: 0.58}
THREADS = {"pale": "#fbf7ee", "dark": "#3a332d"}


def _spans(dice: Random, count: int, slips: int) -> list[tuple[float, float]]:
    """Start and length of each stitch, first and last flush with the marks."""
    weights = [1.0] * count
    for place in dice.sample(range(1, count - 1), slips):
        # A slipped stitch misses one bite: it spans two.
        weights[place] = 2.0
    unit = SPAN / sum(weights)
    spans, at = [], LEFT
    for weight in weights:
        spans.append((at, weight * unit))
        at += weight * unit
    return spans


def _runs_over(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stitches before and after the marks, so that only the marks say where to begin."""
    length = min(length for _, length in spans)
    before, after, at = [], [], LEFT
    while at - length > 4:
        at -= length
        before.append((at, length))
    at = LEFT + SPAN
    while at + length < 356:
        after.append((at, length))
        at += length
    return before + after


def _row(
    spans: list[tuple[float, float]], colour: str, hole: str, lean: float, kind: str
) -> list[Node]:
    bars: list[Node] = []
    for at, length in spans:
        margin = min(4.2, length * 0.22)
        start: Point = (at + margin, SEAM_Y)
        end: Point = (at + length - margin, SEAM_Y)
        middle = ((start[0] + end[0]) / 2, SEAM_Y)
        start, end = turned(start, lean, middle), turned(end, lean, middle)
        bars.append(
            stitch(
                (start[0] + 0.6, start[1] + 1.4),
                (end[0] + 0.6, end[1] + 1.4),
                INK,
                3.0,
                stroke_opacity=0.22,
            )
        )
        bars.append(stitch(start, end, colour, 3.2, class_=kind))
        bars.append(needle_hole((at + length - 0.2, SEAM_Y), hole, 0.9))
    return bars


def _collar(dice: Random, colour: str) -> list[Node]:
    edge = f"M4 24C90 12 270 12 356 24L356 {EDGE_Y}L4 {EDGE_Y}Z"
    fold = [(4.0, EDGE_Y), (356.0, EDGE_Y)]
    sheen = dice.uniform(40, 56)
    return [
        path(edge, fill=filled("main"), stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
        rect(4, EDGE_Y - 6, 352, 6, fill=shade(colour, 0.18), fill_opacity=0.5),
        path(
            f"M4 {sheen}C120 {sheen - 9} 240 {sheen - 9} 356 {sheen}",
            stroke=shade(colour, -0.4),
            stroke_width=BOLD,
            stroke_opacity=0.35,
            fill="none",
        ),
        path(polyline(fold), stroke=INK, stroke_width=BOLD, fill="none"),
    ]


def _note_gauge() -> Node:
    """A banknote of no country, folded along its length: a long strip laid across the row.

    Its fold is one mark and its edges the other; the strip goes on below the sheet.
    """
    ornament = [
        ellipse(
            (LEFT + SPAN / 2, GAUGE_Y + 78),
            62 - 9 * k,
            25 - 4 * k,
            fill="none",
            stroke="#6f7f66",
            stroke_width=FINE,
        )
        for k in range(5)
    ]
    return group(
        rect(LEFT, GAUGE_Y, SPAN, LONG, fill="#cfd6bd", stroke=INK, stroke_width=MEDIUM),
        rect(
            LEFT + 10,
            GAUGE_Y + 26,
            SPAN - 20,
            LONG,
            fill="none",
            stroke="#6f7f66",
            stroke_width=MEDIUM,
        ),
        rect(
            LEFT + 14,
            GAUGE_Y + 30,
            SPAN - 28,
            LONG,
            fill="none",
            stroke="#6f7f66",
            stroke_width=FINE,
        ),
        *ornament,
        line((LEFT + 3, GAUGE_Y), (LEFT + 3, GAUGE_Y + LONG), stroke="#8d9a80", stroke_width=FINE),
        words(
            (LEFT + SPAN / 2, GAUGE_Y + 17),
            "a note folded along its length, 1.25 inch across",
            font_family=FACE,
            font_size=11,
            fill=INK,
            text_anchor="middle",
            class_="label",
        ),
        class_="gauge",
    )


def _gauge(gauge: Gauge) -> Node:
    if gauge.id == "folded_note":
        return _note_gauge()
    if gauge.id == "inch":
        return ruler(
            (LEFT, GAUGE_Y),
            SPAN,
            SPAN / 16,
            steps_to_long=16,
            steps_to_middle=4,
            numbers=16,
            height=56,
            unit="inch",
        )
    return ruler(
        (LEFT, GAUGE_Y),
        SPAN,
        SPAN / 30,
        steps_to_long=10,
        steps_to_middle=5,
        numbers=10,
        height=56,
        unit="cm",
    )


def _marks() -> list[Node]:
    """Where the counting begins and ends, carried up from the gauge to the row."""
    flag: dict[str, Value] = {
        "stroke": INK,
        "stroke_width": MEDIUM,
        "stroke_dasharray": "1 3",
        "class_": "gauge-mark",
        "stroke_linecap": "round",
    }
    ends = (LEFT, LEFT + SPAN)
    arrows = [path(f"M{x - 5} 72L{x + 5} 72L{x} 81Z", fill=INK, class_="flag") for x in ends]
    return [*(line((x, 84), (x, GAUGE_Y), **flag) for x in ends), *arrows]


def _counted(spans: list[tuple[float, float]]) -> list[Node]:
    shown = []
    for place, (at, length) in enumerate(spans, start=1):
        long = length > 1.5 * min(length for _, length in spans)
        up = SEAM_Y - (11 if place % 2 else 22)
        shown.append(note((at + length / 2, up), str(place), text_anchor="middle", font_size=11))
        if long:
            shown.append(
                path(
                    f"M{at + 2:.2f} {SEAM_Y + 7}H{at + length - 2:.2f}",
                    stroke=THREAD,
                    stroke_width=MEDIUM,
                    class_="shown",
                )
            )
    return shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw a topstitched collar edge over a gauge.

    Parameters
    ----------
    level : int
        The higher, the finer the stitches and the paler their thread; at 3 one or two are skipped.
    dice : Random
        Chance of this exercise.
    """
    gauge = GAUGES[dice.choice(("inch", "folded_note", "three_cm"))]
    count = dice.randint(*COUNTS[level])
    slips = dice.randint(1, 2) if level == 3 else 0
    spans = _spans(dice, count, slips)
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    if colour == CLOTHS["oat"]:
        # As it is, oat would hide a pale thread altogether.
        colour = shade(colour, 0.25)
    thread = mix(
        THREADS["dark" if level == 1 and dice.random() < 0.5 else "pale"], colour, BLEND[level]
    )
    hole = shade(colour, 0.5)
    lean = 0.0 if level == 1 else dice.choice((-1, 1)) * dice.uniform(9, 16)
    body = [
        *_collar(dice, colour),
        *_row(_runs_over(spans), thread, hole, lean, "stitch beyond"),
        *_row(spans, thread, hole, lean, "stitch"),
        _gauge(gauge),
        *_marks(),
    ]
    per_inch = float(density(count, gauge).per_inch)
    long_ones = (
        f" A long stitch counts as one: {slips} here skipped a bite, which is worth noting."
        if slips
        else ""
    )
    return Drawn(
        question="How many stitches lie between the two marks?",
        title="A stitched edge over a gauge",
        description="The edge of a collar with a row of stitches, a gauge lying under it, and a "
        "mark at each end of the gauge.",
        body=body,
        shown=_counted(spans),
        truth=float(count),
        why=f"Each bar of thread between two holes is one stitch: {count} from mark to mark, "
        f"which is {per_inch:.1f} to the inch.{long_ones}",
        definitions=(weave("main", colour),),
        unit="stitches",
        height=256,
    )


FAMILY = Family(
    id="stitches",
    name="Stitches over a gauge",
    about="Count a row of stitches from mark to mark, over a ruler or a folded note.",
    zone="collar",
    signal_ids=("stitch_density",),
    draw=draw,
)
