"""A shoe cut through at the forepart: which way the sole is fixed."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    PAPER,
    SOFT_INK,
    label,
    note,
    shown_ring,
)
from resale.training.drawings.section import Section
from resale.training.drawings.shoes.sole_section import (
    BUILD,
    ORIGIN,
    PARTS,
    TELLING,
    ZOOM,
)
from resale.training.drawings.svg import Node, Value, group, line, path, polyline, rect

NAMES = {
    "injected": "Injected, one lump",
    "cemented": "Cemented",
    "cup_sole": "Cup sole, side-stitched",
    "moccasin": "Moccasin",
    "blake": "Blake stitched",
    "stitch_down": "Stitch-down",
    "goodyear": "Goodyear welted",
    "storm": "Storm welted",
    "hand": "Hand welted",
}
WHY = {
    "injected": "One lump of sole flows round the lasted edge: no joint, no glue line, no thread.",
    "cemented": "The upper is turned in under the insole and only a layer of glue holds the sole.",
    "cup_sole": "The sole stands up as a wall and a thread goes sideways through wall and upper.",
    "moccasin": "The upper itself runs under the foot, with a plug sewn in on top; no insole.",
    "blake": "One thread goes straight from inside, through insole and turned-in upper, to the "
    "bottom of the sole; nothing on a rim.",
    "stitch_down": "The upper turns outwards, lies flat on the rim and is sewn down there.",
    "goodyear": "Two seams: one through welt, upper and a separate rib fixed under the insole, "
    "one through welt and outsole.",
    "storm": "As a Goodyear welt, but the welt also stands up against the upper to keep water out.",
    "hand": "Two seams, and the first one bites into a ridge carved from the insole itself: "
    "no separate rib.",
}
EASY = ("injected", "cemented", "moccasin", "blake", "stitch_down", "goodyear")
MIDDLING = ("injected", "cemented", "cup_sole", "moccasin", "blake", "stitch_down", "goodyear")


MOULDED = ("injected", "cup_sole")


def _pool(level: int, dice: Random) -> tuple[str, ...]:
    """Constructions offered, in the order of the rule book."""
    if level == 1:
        picked = dice.sample(EASY, 3)
        return tuple(name for name in EASY if name in picked)
    return MIDDLING if level == 2 else tuple(BUILD)


def _letter(section: Section, kind: str) -> None:
    for text, x, depth in PARTS[kind]:
        section.name_part((x, 108), (x, depth), text)
    section.name_part((296, 70), (250 if kind != "moccasin" else 249, 96), "upper")
    if kind == "moccasin":
        section.name_part((60, 28), (60, 58), "plug")
    if kind == "goodyear":
        section.name_part((330, 140), (322, 181), "welt")


def _break_line(section: Section) -> Node:
    """The middle of the foot, where the drawing stops."""
    points = [(12.0 + (3 if k % 2 else -3), 26 + k * 10.5) for k in range(21)]
    d = polyline(section.on_paper(point) for point in points)
    return path(d, stroke=PAPER, stroke_width=5, fill="none")


def _shown(section: Section, kind: str) -> list[Node]:
    shown: list[Node] = []
    for centre, rx, ry, text in TELLING[kind]:
        shown.append(shown_ring(section.place(centre), rx, ry))
        if text:
            at = section.on_paper((112, 92))
            shown.append(note(at, text, text_anchor="middle", font_size=13))
    return shown


def _bench(section: Section) -> list[Node]:
    """The ground under the shoe, and which end is which."""
    near, far = ("end", "start") if section.flipped else ("start", "end")
    style: dict[str, Value] = {"font_size": 11, "fill": SOFT_INK}
    y = 238.0
    return [
        line((8, y), (352, y), stroke=INK, stroke_width=BOLD, stroke_opacity=0.7),
        label(section.on_paper((14, 254)), "middle of the foot", text_anchor=near, **style),
        label(section.on_paper((346, 254)), "rim", text_anchor=far, **style),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw half a shoe cut through at the ball of the foot.

    Parameters
    ----------
    level : int
        1 names the layers and offers few ways of fixing; 2 offers more; 3 all of them, in fainter
        materials.
    dice : Random
        Chance of this exercise.
    """
    pool = _pool(level, dice)
    kind = dice.choice(pool)
    section = Section(flipped=dice.random() < 0.5, zoom=ZOOM, origin=ORIGIN)
    if kind not in MOULDED:
        # Leather or rubber, whatever the construction: the stuff must not give it away.
        section.made_of["outsole"] = dice.choice(("leather", "rubber"))
    BUILD[kind](section)
    window = clip("sheet", rect(0, 6, 360, 252))
    shoe = group(*section.parts, _break_line(section), clip_path=clipped("sheet"))
    names = Section(flipped=section.flipped)
    if level == 1:
        _letter(names, kind)
    return Drawn(
        question="How is this sole fixed to the shoe?",
        title="A shoe cut through at the ball of the foot",
        description="Half of a shoe in section, from the middle of the foot to the rim of the "
        "sole, with its layers and any threads.",
        body=[*_bench(section), shoe, *names.parts],
        shown=_shown(section, kind),
        truth=kind,
        why=WHY[kind],
        # Fainter figures and closer colours leave only the shapes to go by.
        definitions=[*section.tiles(1.0 if level < 3 else 0.45), window],
        answers=tuple(Answer(name, NAMES[name]) for name in pool),
    )


FAMILY = Family(
    id="sole",
    name="Soles in section",
    about="Tell from a section how the sole is fixed: glue, one seam, two seams, a lump.",
    zone="sole",
    signal_ids=("sole_attach",),
    draw=draw,
)
