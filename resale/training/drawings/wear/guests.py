"""What lies on the cloth: mould, pests, their signs, or only lint and a dried water mark."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin
from random import Random

from resale.training.drawings.blobs import blob, scattered
from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    ellipse,
    path,
    rect,
    smooth,
)
from resale.training.drawings.wear.insects import Found, husk, insect

LEFT, TOP, RIGHT, BOTTOM = 8.0, 8.0, 352.0, 236.0
MOULD = Answer("mould", "Mould")
LIVE = Answer("live", "A living pest")
SIGNS = Answer("signs", "Skins and specks of pests")
LINT = Answer("lint", "Lint, nothing more")
TIDE = Answer("tide", "A dried water mark")
OFFERED = {
    1: (MOULD, LIVE, LINT),
    2: (MOULD, LIVE, SIGNS, LINT),
    3: (MOULD, LIVE, SIGNS, LINT, TIDE),
}
SIZE = {1: 1.0, 2: 0.74, 3: 0.5}
"""How large the thing is on the sheet."""

PLAIN = {1: 0.62, 2: 0.5, 3: 0.38}
"""How far it stands off from the cloth."""

SIGNALS = {"mould": ("mould",), "live": ("pests",), "signs": ("pests",)}
WHY = {
    "mould": "Round colonies in groups, each darkest in its middle and soft at its edge, of "
    "several "
    "sizes, as they grew: mould. Bag it and take it to the lead.",
    "live": "Six legs and feelers: it is alive, or was yesterday. Close the bag now; what lay "
    "beside "
    "it is looked at too.",
    "signs": "Ringed husks that are split and empty, and dark specks in a row along a fold: pests "
    "were here. Old signs cannot be told from fresh ones at the desk, so it is held.",
    "lint": "Loose fibres that curl as they like, thin all along, with no body and no rows: lint. "
    "It "
    "comes off on a damp white paper without a smear.",
    "tide": "One thin line closes round a clean inside, like a shore: water dried here. There are "
    "no "
    "specks and no bloom within it.",
}


def _mould(dice: Random, size: float, plain: float, colour: str) -> Found:
    at = (dice.uniform(120, 240), dice.uniform(80, 160))
    tint = dice.choice(("#3f4a3a", "#3b4440", "#454334"))
    parts: list[Node] = []
    for _ in range(round(13 + 8 * dice.random())):
        far, angle = 62 * size * dice.random() ** 0.6, dice.uniform(0, 2 * pi)
        place = (at[0] + far * cos(angle) * 1.2, at[1] + far * sin(angle))
        reach = size * dice.uniform(4.5, 11.5) * (1.15 - far / (110 * size))
        for part, deep in ((1.0, 0.32), (0.68, 0.6), (0.36, 1.0)):
            parts.append(
                path(
                    smooth(blob(dice, place, reach * part, 0.16), closed=True),
                    fill=mix(colour, tint, plain * deep),
                    class_="bloom" if part < 0.5 else "bloom-halo",
                )
            )
    return parts, at, 84 * size


def _signs(dice: Random, size: float, plain: float, colour: str) -> Found:
    at = (dice.uniform(130, 230), dice.uniform(86, 150))
    tint = mix(colour, "#b07a3a", 0.45 + plain * 0.5)
    slope = dice.uniform(-0.22, 0.22)
    row: list[Node] = []
    fold: Point = (at[0] - 76 * size, at[1] + 26 * size - slope * 76 * size)
    for k in range(13):
        x = fold[0] + (k * 12 + dice.uniform(-2.5, 2.5)) * size
        y = fold[1] + slope * (x - fold[0]) + dice.uniform(-1.6, 1.6) * size
        row.append(
            ellipse(
                (x, y),
                (1.5 + 1.4 * dice.random()) * (0.45 + 0.55 * size),
                (1.2 + 0.9 * dice.random()) * (0.45 + 0.55 * size),
                fill=mix(colour, INK, 0.5 + plain * 0.7),
                class_="speck",
            )
        )
    skins = [
        husk(dice, (at[0] + dx * size, at[1] + dy * size - 14 * size), size, tint)
        for dx, dy in (
            (-44, dice.uniform(-8, 8)),
            (0, dice.uniform(-26, -10)),
            (46, dice.uniform(-8, 8)),
        )
    ]
    return [*row, *skins], at, 88 * size


def _lint(dice: Random, size: float, plain: float, colour: str) -> Found:
    at = (dice.uniform(130, 230), dice.uniform(86, 156))
    parts: list[Node] = []
    for place in scattered(
        dice,
        9,
        (at[0] - 70 * size, at[1] - 46 * size, at[0] + 70 * size, at[1] + 46 * size),
        20 * size,
    ):
        heading, run = dice.uniform(0, 360), [place]
        for _ in range(5):
            heading += dice.uniform(-75, 75)
            x, y = run[-1]
            step = dice.uniform(5, 10) * size
            run.append((x + step * cos(radians(heading)), y + step * sin(radians(heading))))
        tint = mix(colour, dice.choice(("#fffdf8", "#2b2622", "#fffdf8")), 0.3 + plain * 0.7)
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke=tint,
                stroke_width=0.9 + 0.7 * size,
                stroke_linecap="round",
                class_="lint",
            )
        )
    return parts, at, 84 * size


def _tide(dice: Random, size: float, plain: float, colour: str) -> Found:
    at = (dice.uniform(130, 230), dice.uniform(90, 150))
    outline = blob(dice, at, 66 * size, 0.16, count=11, flat=0.76)
    rim = mix(colour, "#6a5534", 0.25 + plain * 0.5)
    inner = [(at[0] + (x - at[0]) * 0.965, at[1] + (y - at[1]) * 0.965) for x, y in outline]
    return (
        [
            path(
                smooth(outline, closed=True),
                fill=shade(colour, -0.1),
                fill_opacity=0.35,
                stroke=rim,
                stroke_width=1.5,
                class_="tide",
            ),
            path(
                smooth(inner, closed=True),
                fill="none",
                stroke=rim,
                stroke_width=0.6,
                stroke_opacity=0.6,
            ),
        ],
        at,
        76 * size,
    )


DRAW: dict[str, Callable[[Random, float, float, str], Found]] = {
    "mould": _mould,
    "live": insect,
    "signs": _signs,
    "lint": _lint,
    "tide": _tide,
}


def draw(level: int, dice: Random) -> Drawn:
    """Draw a piece of cloth with something on it.

    Parameters
    ----------
    level : int
        1 offers three things, 2 four and 3 five, ever smaller and fainter.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    found, at, reach = DRAW[truth](dice, SIZE[level], PLAIN[level], colour)
    words = next(answer.text for answer in answers if answer.id == truth)
    return Drawn(
        question="What is this on the cloth?",
        title="Something on a piece of cloth",
        description="A piece of cloth seen close, under a lamp, with something on it.",
        body=[
            rect(
                LEFT,
                TOP,
                RIGHT - LEFT,
                BOTTOM - TOP,
                fill=filled("main"),
                stroke=INK,
                stroke_width=MEDIUM,
            ),
            *found,
            label(
                (350, 254),
                "seen close, under a lamp",
                text_anchor="end",
                font_size=11,
                fill=SOFT_INK,
            ),
        ],
        shown=[
            shown_ring(at, reach, min(reach, 66)),
            note((180, 30), words.lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", colour, twill=dice.random() < 0.5),),
        answers=answers,
        signal_ids=SIGNALS.get(truth, ("mould", "pests")),
        caution="Never spray anything at the desk and never sniff deep into mould. What may be "
        "either "
        "is bagged first and looked at afterwards.",
    )


FAMILY = Family(
    id="guests",
    name="What lies on the cloth",
    about="Tell mould and pests from lint and from a water mark.",
    zone="wear",
    signal_ids=("mould", "pests"),
    draw=draw,
)
