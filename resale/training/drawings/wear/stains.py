"""A stain on a shirt: whether it shows when worn, and how far it goes."""

from __future__ import annotations

from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    FINE,
    INK,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, group, line, path, polyline, smooth

COIN = 3.8
"""Radius of a coin of 25 mm on the sheet, where a shirt front of 750 mm is 214 units long."""

TUCKED = 186.0
"""What lies lower is tucked in when the shirt is worn."""

EXTENTS = {1: (3, 5), 2: (3, 4, 5), 3: (2, 3, 4)}
RADIUS = {2: 2.2, 3: COIN, 4: 12.0, 5: 24.0}
NAMES = {2: "a fingertip", 3: "a coin", 4: "a palm", 5: "more than a palm"}
NEAR = {1: 18.0, 2: 13.0, 3: 8.0}
"""How far the middle of a stain is from the line between seen and hidden, at least."""

PLAIN = {1: 0.62, 2: 0.48, 3: 0.36}
SOILS = ("#6e4a22", "#7a2f2a", "#5d5a2c", "#3d3a36")


def _answers(level: int) -> tuple[Answer, ...]:
    places = (("seen", "seen when worn"), ("hidden", "hidden when worn"))
    return tuple(
        Answer(f"{place}_{extent}", f"{NAMES[extent].capitalize()}, {words}")
        for place, words in places
        for extent in EXTENTS[level]
    )


def _shirt(colour: str) -> list[Node]:
    left, right = 84.0, 276.0
    hem = [(left, 214.0), (112, 232), (180, 226), (248, 232), (right, 214)]
    d = polyline([(left, 30), (146, 18), (180, 48), (214, 18), (right, 30)])
    body = d + "L" + smooth(hem[::-1])[1:].replace("M", "L") + "Z"
    collar = [
        path(
            polyline([(146, 18), (180, 48), (160, 62), (136, 26)], closed=True),
            fill=filled("main"),
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        path(
            polyline([(214, 18), (180, 48), (200, 62), (224, 26)], closed=True),
            fill=filled("main"),
            stroke=INK,
            stroke_width=MEDIUM,
        ),
    ]
    sleeve = shade(colour, 0.06)
    sleeves = [
        path(
            polyline([(84, 30), (30, 120), (66, 140), (92, 92)], closed=True),
            fill=sleeve,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        path(
            polyline([(276, 30), (330, 120), (294, 140), (268, 92)], closed=True),
            fill=sleeve,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
    ]
    buttons = [
        circle((180, y), 3.1, fill=shade(colour, -0.6), stroke=INK, stroke_width=FINE)
        for y in range(74, 226, 25)
    ]
    placket = [
        line((170, 50), (170, 226), stroke=shade(colour, 0.4), stroke_width=FINE),
        line((190, 50), (190, 226), stroke=shade(colour, 0.4), stroke_width=FINE),
    ]
    return [
        *sleeves,
        path(body, fill=filled("main"), stroke=INK, stroke_width=BOLD, class_="front"),
        *placket,
        *buttons,
        *collar,
    ]


def _place(dice: Random, place: str, level: int, radius: float) -> Point:
    """Where the stain lies; on the right or left of the placket, clear of the edges."""
    x = dice.choice(
        (130 + dice.uniform(-1, 1) * (30 - radius), 230 + dice.uniform(-1, 1) * (30 - radius))
    )
    near = max(NEAR[level], radius + 3)
    if place == "seen":
        return x, dice.uniform(80 + radius * 0.4, TUCKED - near)
    return x, TUCKED + dice.uniform(min(near, 19.0), 20.0)


def draw(level: int, dice: Random) -> Drawn:
    """Draw a shirt with one stain, the line to which it is tucked in, and a coin to go by.

    Parameters
    ----------
    level : int
        1 offers two extents, 2 and 3 three; fainter and nearer to the line.
    dice : Random
        Chance of this exercise.
    """
    answers = _answers(level)
    truth = dice.choice(answers).id
    place, extent = truth.split("_")
    radius = RADIUS[int(extent)]
    colour = CLOTHS[dice.choice(("oat", "sea", "sage", "slate"))]
    soil = mix(colour, dice.choice(SOILS), PLAIN[level])
    at = _place(dice, place, level, radius)
    flat = 0.66 if radius > 20 else 0.9
    outline = blob(dice, at, radius, 0.14, flat=flat)
    inner = [(at[0] + (x - at[0]) * 0.8, at[1] + (y - at[1]) * 0.8) for x, y in outline]
    stain = group(
        path(
            smooth(outline, closed=True),
            fill=soil,
            stroke=mix(soil, INK, 0.25),
            stroke_width=0.9,
            class_="stain",
        ),
        path(smooth(inner, closed=True), fill=mix(soil, colour, 0.22)),
        clip_path=clipped("front"),
    )
    said = words_of(answers, truth)
    seen = place == "seen"
    side = -1 if at[0] > 180 else 1
    return Drawn(
        question="How far does the stain go, and does it show when the shirt is worn tucked in?",
        title="A shirt laid flat",
        description="A shirt laid flat with one stain. A dashed line shows how far it is tucked "
        "in. A "
        "small disc beside it is there to go by.",
        body=[
            *_shirt(colour),
            stain,
            line(
                (58, TUCKED),
                (302, TUCKED),
                stroke=INK,
                stroke_width=1.2,
                stroke_dasharray="6 5",
                class_="tucked",
            ),
            label((306, TUCKED + 4), "tucked in", font_size=11, fill=SOFT_INK),
            circle((36, 214), COIN, fill="#c7a04f", stroke=INK, stroke_width=FINE, class_="coin"),
            circle(
                (36, 214), COIN - 3, fill="none", stroke=shade("#c7a04f", 0.35), stroke_width=FINE
            ),
            label((36, 234), "a coin", text_anchor="middle", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring(at, radius + 7, radius * flat + 7),
            arrow_line((at[0] + side * 70, at[1]), (at[0] + side * 70, TUCKED)),
            note((180, 256), said.lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=f"Against the coin it is about the size of {NAMES[int(extent)]}, and it lies "
        f"{'above' if seen else 'below'} the line: "
        + (
            "whoever wears it shows it."
            if seen
            else "tucked in it is out of sight, which costs less."
        ),
        definitions=(
            weave("main", colour),
            clip(
                "front",
                path(
                    polyline(
                        [
                            (84, 30),
                            (146, 18),
                            (214, 18),
                            (276, 30),
                            (276, 214),
                            (248, 231),
                            (180, 226),
                            (112, 231),
                            (84, 214),
                        ],
                        closed=True,
                    )
                ),
            ),
        ),
        answers=answers,
        caution="Never try a solvent at the desk: note the stain, and leave it to whoever may "
        "clean it.",
    )


FAMILY = Family(
    id="stains",
    name="Stains and where they lie",
    about="Judge how far a stain goes and whether it shows when worn.",
    zone="wear",
    signal_ids=("stain",),
    draw=draw,
)
