"""Zips: what the teeth are, which one is missing, and how many."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BRASS,
    FINE,
    INK,
    MEDIUM,
    METAL,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, path, polyline, rect

COIL = Answer("coil", "Nylon spiral")
MOULDED = Answer("moulded", "Moulded plastic teeth")
METAL_TEETH = Answer("metal", "Metal teeth")
WHOLE = Answer("whole", "All teeth there")
UPPER = Answer("upper", "A tooth is missing on the upper tape")
LOWER = Answer("lower", "A tooth is missing on the lower tape")

TAPES = ("#5d6570", "#7b6a58", "#6d7a6a", "#75647a")
AXIS = 128.0
LEFT, RIGHT = 12.0, 348.0
PITCH = {"metal": 14.0, "moulded": 17.0, "coil": 10.0}
SLIDER_X = 286.0
SAID = {"coil": "nylon spiral", "moulded": "moulded plastic", "metal": "metal"}
WHY = {
    "coil": "One thread of nylon wound in loops along each edge, no separate teeth.",
    "moulded": "Chunky plastic teeth, each cast onto the tape, all alike and of the tape's colour.",
    "metal": "Separate metal teeth clamped on the edge of the tape, with a cup in each.",
}


def _tapes(colour: str, spread: float) -> list[Node]:
    """Two woven tapes along the axis; ``spread`` opens them to the right of the slider."""
    parts: list[Node] = []
    for way in (-1, 1):
        outline = [
            (LEFT, AXIS + way * 3), (SLIDER_X, AXIS + way * 3), (RIGHT, AXIS + way * (3 + spread)),
            (RIGHT, AXIS + way * (64 + spread)), (SLIDER_X, AXIS + way * 64),
            (LEFT, AXIS + way * 64),
        ]  # fmt: skip
        parts.append(path(polyline(outline, closed=True), fill=colour, stroke=INK,
                          stroke_width=MEDIUM, stroke_linejoin="round"))  # fmt: skip
        for off in (22, 34, 46, 58):
            run = [(LEFT, AXIS + way * off), (SLIDER_X, AXIS + way * off),
                   (RIGHT, AXIS + way * (off + spread))]  # fmt: skip
            parts.append(path(polyline(run), stroke=shade(colour, 0.25), stroke_width=FINE,
                              fill="none", stroke_dasharray="3 1.5"))  # fmt: skip
    return parts


def _tooth(kind: str, at: Point, way: int, colour: str) -> list[Node]:
    """One tooth: ``at`` is where it sits on the axis, ``way`` is -1 for the upper tape."""
    x, y = at
    if kind == "moulded":
        d = polyline([(x - 6, y + way * 13), (x - 6, y - way * 1), (x - 3.6, y - way * 5),
                      (x + 3.6, y - way * 5), (x + 6, y - way * 1), (x + 6, y + way * 13)],
                     closed=True)  # fmt: skip
        return [path(d, fill=shade(colour, -0.32), stroke=INK, stroke_width=1.1,
                     stroke_linejoin="round", class_="tooth " + _side(way))]  # fmt: skip
    d = polyline([(x - 4.2, y + way * 15), (x - 4.2, y + way * 4), (x - 2.9, y - way * 5),
                  (x + 2.9, y - way * 5), (x + 4.2, y + way * 4), (x + 4.2, y + way * 15)],
                 closed=True)  # fmt: skip
    return [
        path(d, fill=colour, stroke=INK, stroke_width=1.1, stroke_linejoin="round",
             class_="tooth " + _side(way)),
        circle((x, y - way * 0.6), 1.3, fill=shade(colour, 0.55)),
        path(polyline([(x - 2.2, y + way * 13), (x - 2.2, y + way * 5)]),
             stroke=shade(colour, -0.7), stroke_width=1.0),
    ]  # fmt: skip


def _side(way: int) -> str:
    return "upper" if way < 0 else "lower"


def _chain(kind: str, colour: str, gaps: set[tuple[int, int]]) -> list[Node]:
    """Closed teeth from the left to the slider; a gap is a (place, way) left out."""
    pitch = PITCH[kind]
    parts: list[Node] = []
    for place in range(int((SLIDER_X - 26 - LEFT) / pitch)):
        for way in (-1, 1):
            if (place, way) in gaps:
                continue
            x = LEFT + 10 + place * pitch + (pitch / 2 if way > 0 else 0)
            parts += _tooth(kind, (x, AXIS + way * 1.5), way, colour)
    return parts


def _coil(colour: str) -> list[Node]:
    """Two spirals, looped into each other."""
    parts: list[Node] = []
    for way in (-1, 1):
        runs, x = [], LEFT + (4 if way < 0 else 9)
        while x < SLIDER_X - 28:
            runs.append(
                f"M{x:g} {AXIS + way * 13:g}C{x + 1:g} {AXIS - way * 7:g} {x + 7:g} "
                f"{AXIS - way * 7:g} {x + 6:g} {AXIS + way * 13:g}"
            )
            x += PITCH["coil"]
        d = "".join(runs)
        parts += [
            path(d, stroke=INK, stroke_width=4.4, fill="none", stroke_linecap="round"),
            path(d, stroke=shade(colour, -0.45), stroke_width=2.6, fill="none",
                 stroke_linecap="round", class_="coil"),
        ]  # fmt: skip
    return parts


def _slider(colour: str) -> list[Node]:
    x = SLIDER_X
    return [
        path(f"M{x - 30} {AXIS - 13}L{x - 2} {AXIS - 24}L{x + 14} {AXIS - 24}L{x + 14} {AXIS + 24}"
             f"L{x - 2} {AXIS + 24}L{x - 30} {AXIS + 13}Z", fill=colour, stroke=INK,
             stroke_width=MEDIUM, stroke_linejoin="round"),
        rect(x - 22, AXIS - 5, 30, 10, rx=4, fill=shade(colour, 0.25), stroke=INK,
             stroke_width=1.0),
        path(f"M{x - 12} {AXIS - 7}H{x + 48}Q{x + 58} {AXIS - 7} {x + 58} {AXIS}"
             f"Q{x + 58} {AXIS + 7} {x + 48} {AXIS + 7}H{x - 12}Z", fill=shade(colour, -0.35),
             stroke=INK, stroke_width=MEDIUM),
        rect(x + 32, AXIS - 3, 16, 6, rx=3, fill=shade(colour, 0.35), stroke=INK,
             stroke_width=FINE),
    ]  # fmt: skip


def _open_teeth(kind: str, colour: str, spread: float) -> list[Node]:
    """Teeth past the slider, parted."""
    if kind == "coil":
        return []
    parts: list[Node] = []
    x = SLIDER_X + 24
    while x < RIGHT - 6:
        for way in (-1, 1):
            y = AXIS + way * (4 + spread * (x - SLIDER_X) / (RIGHT - SLIDER_X))
            tooth = _tooth(kind, (x, y), way, colour)
            parts += tooth
        x += PITCH[kind]
    return [node_without_class(part) for part in parts]


def node_without_class(part: Node) -> Node:
    """The same element, not counted among the closed teeth."""
    others = tuple(pair for pair in part.attributes if pair[0] != "class")
    return Node(part.tag, others, part.inside)


def _zip(kind: str, tape: str, metal: str, gaps: set[tuple[int, int]]) -> list[Node]:
    spread = 20.0
    colour = metal if kind == "metal" else tape
    teeth = _coil(tape) if kind == "coil" else _chain(kind, colour, gaps)
    return [
        rect(LEFT, AXIS - 3, SLIDER_X - LEFT, 6, fill=shade(tape, 0.75)),
        *_tapes(tape, spread),
        *_open_teeth(kind, colour, spread),
        *teeth,
        *_slider(metal),
    ]


def _gap_at(kind: str, place: int, way: int) -> Point:
    pitch = PITCH[kind]
    return (LEFT + 10 + place * pitch + (pitch / 2 if way > 0 else 0), AXIS + way * 8)


def _gaps(dice: Random, kind: str, count: int, ways: tuple[int, ...]) -> set[tuple[int, int]]:
    """Places left out, never two side by side, so that each can be told."""
    places = list(range(2, int((SLIDER_X - 26 - LEFT) / PITCH[kind]) - 2, 2))
    return {(place, dice.choice(ways)) for place in dice.sample(places, count)}


def _told(count: int) -> str:
    if count == 0:
        return "Every tooth has its fellow on the other tape."
    gaps = "gap" if count == 1 else "gaps"
    return (
        f"{count} {gaps} in the rhythm of the teeth: the bare edge of the tape shows there. "
        "A zip with a tooth gone may close once and part the next time."
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw a length of zip with its slider."""
    tape, metal = dice.choice(TAPES), dice.choice((METAL, BRASS))
    kind = dice.choice(("coil", "moulded", "metal")) if level == 1 else dice.choice(
        ("moulded", "metal")
    )  # fmt: skip
    if level == 3:
        metal = mix(metal, tape, 0.6)
    truth: str | float = kind
    gaps: set[tuple[int, int]] = set()
    answers: tuple[Answer, ...] = (COIL, MOULDED, METAL_TEETH)
    question, why, unit = "What are the teeth of this zip?", WHY[kind], ""
    if level == 2:
        side = dice.choice((0, -1, 1))
        gaps = _gaps(dice, kind, 1, (side,)) if side else set()
        truth = {0: "whole", -1: "upper", 1: "lower"}[side]
        answers, question, why = (WHOLE, UPPER, LOWER), "Is a tooth missing?", _told(abs(side))
    if level == 3:
        count = dice.randint(0, 3)
        gaps = _gaps(dice, kind, count, (-1, 1))
        truth, answers, unit = float(count), (), "teeth"
        question, why = "How many teeth are missing to the left of the slider?", _told(count)
    words = {1: SAID[kind], 2: "gone here" if gaps else "all there", 3: f"{len(gaps)} missing"}[
        level
    ]
    shown = [shown_ring(_gap_at(kind, *gap), 11, 15) for gap in sorted(gaps)]
    shown.append(note((150, 224), words, text_anchor="middle", font_size=14))
    return Drawn(
        question=question,
        title="A zip",
        description="A length of zip lying level: two tapes with their teeth, closed on the left "
        "of the slider and open on its right.",
        body=_zip(kind, tape, metal, gaps),
        shown=shown,
        truth=truth,
        why=why,
        answers=answers,
        unit=unit,
        signal_ids=("zip_make", "fly_zip") if level == 1 else ("zip_fault",),
        height=256,
    )


FAMILY = Family(
    id="zip",
    name="Zips",
    about="Tell spiral, plastic and metal teeth, and find the tooth that is gone.",
    zone="hardware",
    signal_ids=("zip_make", "fly_zip", "zip_fault"),
    draw=draw,
)
