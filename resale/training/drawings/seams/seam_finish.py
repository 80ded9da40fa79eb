"""Seams from the inside, cut through or as the hand finds them: how the edges are finished."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import CLOTHS, SOFT_INK, label, note, shade, shown_ring
from resale.training.drawings.seams.seam_inside_view import inside_view
from resale.training.drawings.section import Section, band, sampled
from resale.training.drawings.svg import Node, Point

NAMES = {
    "raw": "Raw",
    "overlocked": "Overlocked together",
    "open_pressed": "Overlocked and open",
    "bound": "Bound with tape",
    "flat_felled": "Flat-felled",
    "french": "French: a seam within a seam",
}
OFFERED = {
    1: ("raw", "overlocked", "bound"),
    2: ("raw", "overlocked", "open_pressed", "bound", "flat_felled", "french"),
    3: ("raw", "overlocked", "open_pressed", "bound", "flat_felled", "french"),
}
WHY = {
    "raw": "The edges are only cut: nothing keeps them from fraying.",
    "overlocked": "Both edges lie to one side, and one row of loops is thrown over the two "
    "together.",
    "open_pressed": "The edges are pressed apart and each has loops of thread of its own.",
    "bound": "A strip of tape is folded round each edge and stitched.",
    "flat_felled": "Both edges are folded into each other and stitched down flat: two rows, no "
    "edge to be seen.",
    "french": "The edges are shut inside a second seam: one fold, no edge to be seen.",
}
CLOTH, TAPE = 11.0, 6.0
# From the middle of one layer to that of another laid upon it.
LAID = 12.5
MID = 180.0
# The two panels run left and right at this height; the inside of the garment is above.
PANEL_Y = 196.0


def _panels(section: Section, top: float) -> None:
    """Left and right panel, each turned up at the seam to an allowance pressed open."""
    left: list[Point] = [
        (36, PANEL_Y),
        (120, PANEL_Y),
        (168, PANEL_Y - 4),
        (173, PANEL_Y - 14),
        (160, PANEL_Y - 28),
        (96, top),
    ]
    section.layer("panel left", "cloth", band(left, CLOTH))
    section.layer("panel right", "cloth", band([(2 * MID - x, y) for x, y in left], CLOTH))
    section.thread([(160, PANEL_Y - 8), (200, PANEL_Y - 8)], "seam")


def _raw(section: Section) -> None:
    _panels(section, 132)


def _at_edge(side: int, along: float, across: float) -> Point:
    """A point by the edge of one allowance: towards its tip, and off its middle line."""
    ux, uy = 0.87 * side, -0.49
    return (
        MID + side * 84 + ux * along - uy * side * across,
        132 + uy * along + ux * side * across,
    )


def _loops(section: Section, side: int, over: float = 0.0) -> None:
    """Two loops round an edge; ``over`` is how far they reach above it, round a second layer."""
    for back in (0, 7):
        top, middle = -9 - over, -over / 2
        loop = [
            (-20 - back, top),
            (-6 - back, top - 2),
            (5 - back / 3, top + 2),
            (8 - back / 2, middle),
            (5 - back / 3, 7),
            (-6 - back, 11),
            (-20 - back, 9),
        ]
        section.thread(sampled([_at_edge(side, *point) for point in loop]), "loop")


def _open_pressed(section: Section) -> None:
    _panels(section, 132)
    for side in (-1, 1):
        _loops(section, side)


def _overlocked(section: Section) -> None:
    """Both allowances to the left, the right panel's upon the left one's."""
    under: list[Point] = [
        (36, PANEL_Y),
        (120, PANEL_Y),
        (168, PANEL_Y - 4),
        (173, PANEL_Y - 14),
        (160, PANEL_Y - 28),
        (96, 132),
    ]
    upon: list[Point] = [
        (2 * MID - 36, PANEL_Y),
        (240, PANEL_Y),
        (196, PANEL_Y - 5),
        (187, PANEL_Y - 18),
        (166, PANEL_Y - 40),
        _at_edge(-1, 0, -LAID),
    ]
    section.layer("panel left", "cloth", band(under, CLOTH))
    section.layer("panel right", "cloth", band(upon, CLOTH))
    section.thread([(160, PANEL_Y - 8), (200, PANEL_Y - 8)], "seam")
    _loops(section, -1, over=LAID)


def _bound(section: Section) -> None:
    _panels(section, 132)
    for side in (-1, 1):
        wrap = [(-32, -9.5), (-6, -9.5), (5, -7), (9, 0), (5, 7), (-6, 9.5), (-32, 9.5)]
        section.layer("tape", "lining", band([_at_edge(side, *point) for point in wrap], TAPE))
        section.thread([_at_edge(side, -20, -17), _at_edge(side, -20, 17)], "edge")


def _flat_felled(section: Section) -> None:
    # Two hooks that grip each other, laid flat and sewn through twice.
    under: list[Point] = [(36, 200), (150, 200), (226, 198), (238, 188), (228, 178), (170, 176)]
    over: list[Point] = [(324, 154), (250, 154), (134, 156), (120, 166), (132, 178), (196, 188)]
    section.layer("panel left", "cloth", band(under, CLOTH))
    section.layer("panel right", "cloth", band(over, CLOTH))
    for x in (150, 212):
        section.thread([(x, 142), (x, 214)], "seam")


def _french(section: Section) -> None:
    """A fin of two layers: raw edges point down inside it, the second row shuts them in."""
    left: list[Point] = [
        (36, 206),
        (112, 206),
        (148, 202),
        (156, 188),
        (156, 100),
        (164, 84),
        (174, 92),
        (174, 150),
    ]
    section.layer("panel left", "cloth", band(left, CLOTH))
    section.layer("panel right", "cloth", band([(2 * MID - x, y) for x, y in left], CLOTH))
    section.thread([(146, 108), (214, 108)], "first")
    section.thread([(140, 172), (220, 172)], "seam")


BUILD = {
    "raw": _raw,
    "overlocked": _overlocked,
    "open_pressed": _open_pressed,
    "bound": _bound,
    "flat_felled": _flat_felled,
    "french": _french,
}
TELLING: dict[str, tuple[Point, float, float]] = {
    "raw": ((96, 132), 22, 22),
    "overlocked": ((96, 128), 32, 36),
    "open_pressed": ((92, 134), 26, 28),
    "bound": ((94, 132), 34, 34),
    "flat_felled": ((181, 178), 74, 44),
    "french": ((180, 132), 50, 76),
}


def _letter(section: Section, kind: str) -> None:
    section.name_part((60, 228), section.place((80, PANEL_Y)), "cloth")
    section.name_part((180, 228), section.place((180, PANEL_Y - 6)), "seam")
    word, along, across = {
        "raw": ("cut edge", -2, 0),
        "overlocked": ("loops over both", -2, -20),
        "bound": ("tape", -4, 9),
    }[kind]
    section.name_part((60, 62), section.place(_at_edge(-1, along, across)), word)


def _cut(kind: str, colour: str, level: int) -> tuple[list[Node], list[Node], list[Node]]:
    section = Section(
        zoom=1.2, origin=(30, 44), tints={"cloth": colour, "lining": shade(colour, -0.55)}
    )
    BUILD[kind](section)
    if level == 1:
        _letter(section, kind)
    words = [
        label(
            (350, 20),
            "inside of the garment, above",
            text_anchor="end",
            font_size=11,
            fill=SOFT_INK,
        ),
        label((350, 254), "outside, below", text_anchor="end", font_size=11, fill=SOFT_INK),
    ]
    caption = NAMES[kind].split(":")[0].lower()
    at = (298, 120) if kind == "french" else (180, 50)
    shown = [
        shown_ring(section.place(TELLING[kind][0]), *TELLING[kind][1:]),
        note(at, caption, text_anchor="middle", font_size=14),
    ]
    return [*section.parts, *words], section.tiles(), shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw a seam cut through, or its inside as it is seen.

    Parameters
    ----------
    level : int
        1 offers three finishes, cut through and with names; 2 six, cut through; 3 the same six as
        they look from the inside.
    dice : Random
        Chance of this exercise.
    """
    kind = dice.choice(OFFERED[level])
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    if level == 3:
        body, tiles, ring = inside_view(kind, dice, colour)
        shown = [
            ring,
            note((180, 40), NAMES[kind].split(":")[0].lower(), text_anchor="middle", font_size=14),
        ]
    else:
        body, tiles, shown = _cut(kind, colour, level)
    seen = "as it looks from the inside" if level == 3 else "cut through, the inside above"
    return Drawn(
        question="How are the edges of this seam finished?",
        title="A seam and its edges",
        description=f"The seam that joins two panels of cloth, {seen}.",
        body=body,
        shown=shown,
        truth=kind,
        why=WHY[kind],
        definitions=tiles,
        answers=tuple(Answer(name, NAMES[name]) for name in OFFERED[level]),
        height=264,
    )


FAMILY = Family(
    id="seam_finish",
    name="Seam finishes",
    about="Tell raw, overlocked together or open, bound, flat-felled and French seams, in section "
    "and by eye.",
    zone="inside",
    signal_ids=("seam_inside",),
    draw=draw,
)
