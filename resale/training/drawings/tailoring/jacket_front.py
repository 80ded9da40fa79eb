"""The front of a jacket cut through: glued, half canvas, full canvas, or soft and empty."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    FINE,
    INK,
    MEDIUM,
    PAPER,
    SOFT_INK,
    THREAD,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.section import Section, band
from resale.training.drawings.svg import Node, Point, circle, ellipse, line, path, rect

GLUED = Answer("glued", "Glued")
EMPTY = Answer("soft_empty", "Soft, nothing inside")
HALF = Answer("half_canvas", "Half canvas")
FULL = Answer("full_canvas", "Full canvas")
OFFERED = {1: (GLUED, HALF, FULL), 2: (GLUED, EMPTY, HALF, FULL), 3: (GLUED, EMPTY, HALF, FULL)}

TOP, CHEST, WAIST, HEM = 22.0, 84.0, 146.0, 238.0
# Where the film of glue begins: below its canvas a half-canvas front is fused to the hem (common
# practice, no source).
GLUE_FROM = {"glued": TOP, "half_canvas": WAIST - 4}
SAID = {
    "glued": "glued",
    "soft_empty": "nothing inside",
    "half_canvas": "half canvas",
    "full_canvas": "full canvas",
}
WHY = {
    "glued": "A film of glue joins the cloth to its stiffening from shoulder to hem; nothing hangs "
    "free between cloth and lining.",
    "soft_empty": "Cloth and lining and nothing between: soft, and no glue either.",
    "half_canvas": "A loose canvas lies between cloth and lining at chest and lapel; from the "
    "waist down the cloth is glued to its stiffening, so only the chest tells it from glued.",
    "full_canvas": "A loose canvas lies between cloth and lining all the way to the hem.",
}


def _silhouette(colour: str) -> list[Node]:
    """A jacket front with the cut marked on it."""
    front = (
        "M64 24C50 28 34 34 26 42L20 110L24 236L104 238C112 236 116 230 116 222L112 130"
        "L84 64L76 26Z"
    )
    lapel = "M77 27L84 64L112 130C96 122 74 106 58 88L70 80L58 70L64 32Z"
    return [
        path(front, fill=colour, stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
        path(
            lapel, fill=shade(colour, 0.12), stroke=INK, stroke_width=1.0, stroke_linejoin="round"
        ),
        path(
            "M34 172L70 168L71 178L35 182Z", fill=shade(colour, 0.1), stroke=INK, stroke_width=1.0
        ),
        *(
            circle((104, y), 3.4, fill=shade(colour, 0.6), stroke=INK, stroke_width=FINE)
            for y in (136, 168)
        ),
    ]


def _line(x: float, swell: float, top: float, bottom: float) -> list[Point]:
    """A layer's line from top to bottom, fuller over the chest."""
    steps = 8
    run = []
    for k in range(steps + 1):
        y = top + (bottom - top) * k / steps
        full = max(0.0, 1 - ((y - CHEST) / 66.0) ** 2)
        run.append((x + swell * full, y))
    return run


def _tall_section(kind: str, cloth: str, level: int) -> Section:
    section = Section(tints={"cloth": cloth})
    swell = 18.0
    section.layer("lining", "lining", band(_line(286, swell * 0.2, TOP, HEM - 8), 8))
    if kind in {"half_canvas", "full_canvas"}:
        end = HEM - 6 if kind == "full_canvas" else WAIST + 2
        section.layer("canvas", "canvas", band(_line(256, swell * 0.9, TOP, end), 9))
    if kind in GLUE_FROM:
        section.layer("glue", "glue", band(_line(235, swell, GLUE_FROM[kind], HEM), 7))
    section.layer("cloth", "cloth", band(_line(224, swell, TOP, HEM), 14))
    if level == 1:
        _letter(section, kind)
    return section


def _letter(section: Section, kind: str) -> None:
    section.name_part((166, 60), (240, 76), "cloth")
    section.name_part((328, 40), (288, 56), "lining")
    if kind == "glued":
        section.name_part((328, 120), (246, 116), "glue")
    elif kind != "soft_empty":
        section.name_part((330, 120), (268, 112), "canvas")
    if kind == "half_canvas":
        section.name_part((328, 196), (238, 200), "glue")


def _cut_marks(y: float, name: str) -> list[Node]:
    return [
        line((14, y), (122, y), stroke=THREAD, stroke_width=MEDIUM, stroke_dasharray="5 3"),
        circle((14, y), 8, fill=PAPER, stroke=THREAD, stroke_width=MEDIUM),
        label((14, y + 4), name, text_anchor="middle", fill=THREAD, font_weight="bold"),
    ]


def _window(kind: str, cloth: str, place: str, name: str, top: float) -> tuple[Section, list[Node]]:
    """The layers at one cut, laid flat: cloth below, and above it what the other hand holds.

    At the chest that is the lining; beside the buttons it is the facing, which is cloth too.
    """
    section = Section(tints={"cloth": cloth})
    left, right = 156.0, 344.0
    wave = [(left + (right - left) * k / 6, 3.0 * (k % 2)) for k in range(7)]

    def level_band(y: float, thick: float, lift: float) -> list[Point]:
        return band([(x, y + w * lift) for x, w in wave], thick)

    base = top + 76
    section.layer(f"cloth {place}", "cloth", level_band(base, 14, 0.0))
    canvas = kind == "full_canvas" or (kind == "half_canvas" and place == "chest")
    if kind == "glued" or (kind == "half_canvas" and not canvas):
        section.layer(f"glue {place}", "glue", level_band(base - 10.5, 7, 0.0))
    if canvas:
        section.layer(f"canvas {place}", "canvas", level_band(base - 25, 9, 1.0))
    if place == "chest":
        section.layer("lining chest", "lining", level_band(base - 47, 8, 1.4))
    else:
        section.layer("facing lower", "cloth", level_band(base - 48, 13, 1.4))
    above = "lining" if place == "chest" else "facing"
    marks: list[Node] = [
        circle((150, top + 10), 8, fill=PAPER, stroke=THREAD, stroke_width=MEDIUM),
        label((150, top + 14), name, text_anchor="middle", fill=THREAD, font_weight="bold"),
        label(
            (164, top + 14),
            "cut at the chest" if place == "chest" else "cut above the bottom button",
            font_size=11,
            fill=SOFT_INK,
        ),
        label(
            (346, top + 98),
            f"cloth below, {above} above",
            font_size=11,
            fill=SOFT_INK,
            text_anchor="end",
        ),
    ]
    return section, marks


def _tall(kind: str, cloth: str, level: int) -> tuple[list[Node], list[Node], list[Node]]:
    section = _tall_section(kind, cloth, level)
    body = [
        *_silhouette(cloth),
        line((62, 22), (62, 240), stroke=THREAD, stroke_width=MEDIUM, stroke_dasharray="5 3"),
        label((62, 256), "cut here", text_anchor="middle", fill=THREAD),
        *section.parts,
        *(
            ellipse((209, y), 5, 8, fill=shade(cloth, 0.6), stroke=INK, stroke_width=1.0)
            for y in (WAIST - 10, WAIST + 24)
        ),
        label((250, 16), "shoulder", text_anchor="middle", font_size=11, fill=SOFT_INK),
        label((250, 256), "hem", text_anchor="middle", font_size=11, fill=SOFT_INK),
    ]
    rings = {
        "glued": [shown_ring((240, 190), 30, 40)],
        "soft_empty": [shown_ring((264, 110), 18, 60)],
        "half_canvas": [shown_ring((264, WAIST), 24, 26)],
        "full_canvas": [shown_ring((258, HEM - 18), 26, 26)],
    }[kind]
    return body, section.tiles(), rings


def _two_cuts(kind: str, cloth: str) -> tuple[list[Node], list[Node], list[Node]]:
    chest, chest_marks = _window(kind, cloth, "chest", "a", 16)
    lower, lower_marks = _window(kind, cloth, "lower", "b", 138)
    body = [
        *_silhouette(cloth),
        *_cut_marks(96, "a"),
        *_cut_marks(154, "b"),
        *chest.parts,
        *chest_marks,
        *lower.parts,
        *lower_marks,
        rect(138, 130, 212, 0.8, fill=SOFT_INK, fill_opacity=0.4),
    ]
    # What lies between: canvas or nothing in the middle, glue close upon the cloth.
    fused = {"glued": (True, True), "half_canvas": (False, True)}.get(kind, (False, False))
    rings = [
        shown_ring((250, y + 66), 104, 13) if glue else shown_ring((250, y + 52), 104, 18)
        for y, glue in zip((16, 138), fused, strict=True)
    ]
    chest.materials |= lower.materials
    return body, chest.tiles(), rings


def draw(level: int, dice: Random) -> Drawn:
    """Draw a jacket front and one long cut, or two short ones.

    Parameters
    ----------
    level : int
        1 offers three makes; 2 adds a front with nothing inside; 3 shows two short cuts in place of
        one long one.
    dice : Random
        Chance of this exercise.
    """
    kind = dice.choice(OFFERED[level]).id
    # Oat is the colour of the canvas: left out, so that the layers stand apart.
    cloth = CLOTHS[dice.choice(sorted(CLOTHS.keys() - {"oat"}))]
    body, tiles, rings = _two_cuts(kind, cloth) if level == 3 else _tall(kind, cloth, level)
    at: Point = (250, 128) if level == 3 else (169, 208)
    cut = (
        "two short cuts, one at the chest and one above the bottom button"
        if level == 3
        else "one long cut from shoulder to hem"
    )
    return Drawn(
        question="How is this jacket front built?",
        title="The front of a jacket, cut through",
        description=f"A jacket front and {cut}, with the layers from cloth to lining.",
        body=body,
        shown=[*rings, note(at, SAID[kind], text_anchor="middle", font_size=14)],
        truth=kind,
        why=WHY[kind],
        definitions=tiles,
        answers=OFFERED[level],
    )


FAMILY = Family(
    id="jacket_front",
    name="Jacket fronts in section",
    about="Tell glued, half canvas and full canvas from where the loose layer ends.",
    zone="front",
    signal_ids=("front_canvas",),
    draw=draw,
)
