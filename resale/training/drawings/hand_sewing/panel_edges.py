"""The edge of a strap or a bag's panel, end-on: cut, painted, turned, bound or polished."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    INK,
    LEATHER_DARK,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.section import Section, sampled
from resale.training.drawings.svg import Node, Point, path, polyline

RAW = Answer("raw_cut", "Raw, the core showing")
THICK = Answer("thick_paint", "Thick paint, peeling")
BOUND = Answer("bound", "Bound with a strip")
TURNED = Answer("turned", "Turned in")
PAINTED = Answer("painted", "Painted, smooth")
BURNISHED = Answer("burnished", "Raw leather, polished")
OFFERED = {
    1: (RAW, TURNED, PAINTED),
    2: (RAW, THICK, TURNED, PAINTED),
    3: (RAW, THICK, BOUND, TURNED, PAINTED, BURNISHED),
}
LAYERS = {"face": (76.0, 108.0), "core": (108.0, 148.0), "back": (148.0, 180.0)}
"""Top and bottom of each layer."""

LEFT, EDGE = 70.0, 250.0
ZOOM, ORIGIN = 1.35, (60.0, 32.0)
PAINT = "#3d342e"
HIDES = ("#8a5a3a", "#6f4630", "#a8774a", "#5a4a42")
WHY = {
    "raw_cut": "Three layers end in the open, grey board between two skins: nothing was done to "
    "the edge.",
    "thick_paint": "One thick coat like rubber that lets go of the layers: it will come off like "
    "a string.",
    "bound": "A strip lies round the edge and is sewn through: sound, and quick.",
    "turned": "The face goes round the edge and ends under the back: there is no cut to be seen.",
    "painted": "A thin coat lies on the layers and follows them, without a gap or a lip.",
    "burnished": "One leather right through, its edge rounded and rubbed till it shines: nothing "
    "to peel.",
}


def _stack(cut: Section, edge: float = EDGE) -> None:
    """Face, core and back, all ending at one edge."""
    for name, (top, bottom) in LAYERS.items():
        material = "canvas" if name == "core" else "leather"
        cut.block(name, material, LEFT, top, edge, bottom)


def _turn(cut: Section) -> None:
    """The face goes round the core and ends under the back."""
    (top, under), (_, low), (_, bottom) = LAYERS["face"], LAYERS["core"], LAYERS["back"]
    cut.block("core", "canvas", LEFT, under, EDGE - 6, low)
    cut.block("back", "leather", LEFT, low, EDGE - 70, bottom - 4)
    thick = (bottom - low) * 0.62
    outer: list[Point] = [
        (LEFT, top),
        (EDGE + 8, top),
        (EDGE + 22, top + 12),
        (EDGE + 24, (top + bottom) / 2),
        (EDGE + 18, bottom - 16),
        (EDGE + 4, low + thick),
        (EDGE - 66, low + thick),
    ]
    inner: list[Point] = [
        (EDGE - 66, low + 1),
        (EDGE - 2, low + 1),
        (EDGE + 1, low - 8),
        (EDGE + 1, under + 6),
        (EDGE - 4, under),
        (LEFT, under),
    ]
    cut.layer("face", "leather", [*outer[:1], *sampled(outer[1:]), *inner])
    cut.thread([(EDGE - 40, top - 2), (EDGE - 40, low + thick + 2)])


def _bind(cut: Section) -> None:
    """A strip round the ends of all layers, sewn through."""
    _stack(cut)
    top, bottom = LAYERS["face"][0], LAYERS["back"][1]
    strip: list[Point] = [
        (EDGE - 48, top - 13),
        (EDGE + 8, top - 13),
        (EDGE + 20, top + 4),
        (EDGE + 20, bottom - 4),
        (EDGE + 8, bottom + 13),
        (EDGE - 48, bottom + 13),
        (EDGE - 48, bottom + 1),
        (EDGE + 2, bottom + 1),
        (EDGE + 6, bottom - 6),
        (EDGE + 6, top + 6),
        (EDGE + 2, top - 1),
        (EDGE - 48, top - 1),
    ]
    cut.layer("strip", "upper", [*sampled(strip[:6]), *sampled(strip[6:])])
    cut.thread([(EDGE - 32, top - 15), (EDGE - 32, bottom + 15)])


def _coat(cut: Section, dice: Random, thick: bool) -> None:
    """Paint on the ends of the layers: a thin skin, or a thick lip that lets go."""
    _stack(cut)
    top, bottom = LAYERS["face"][0], LAYERS["back"][1]
    count = 13
    heights = [top + (bottom - top) * k / (count - 1) for k in range(count)]
    if not thick:
        outer = [(EDGE + 6.5 - 3.5 * abs(2 * k / 12 - 1) ** 6, y) for k, y in enumerate(heights)]
        cut.tints["upper"] = PAINT
        cut.layer("paint", "upper", [(EDGE, top), *outer, (EDGE, bottom)])
        return
    free = dice.randint(4, 6)
    gap = [15.0 * (1 - k / free) if k < free else 0.0 for k in range(count)]
    inner = [(EDGE + 1 + off, y) for off, y in zip(gap, heights, strict=True)]
    wave = [17 + 2.4 * ((k * 7) % 3) for k in range(count)]
    outer = [(x + w, y) for (x, y), w in zip(inner, wave, strict=True)]
    outer[0] = (outer[0][0] - 5, top - 7)
    cut.layer("paint", "rubber", [*outer, *reversed(inner)])


def _polish(cut: Section) -> None:
    """One leather right through, its edge rounded."""
    top, bottom = LAYERS["face"][0], LAYERS["back"][1]
    half = (bottom - top) / 2
    bow = [
        (EDGE - 14 + 24 * (1 - (2 * k / 12 - 1) ** 2) ** 0.5, top + 2 * half * k / 12)
        for k in range(13)
    ]
    cut.layer("whole", "leather", [(LEFT, top), *bow, (LEFT, bottom)])
    d = polyline([cut.place((x - 4, y)) for x, y in bow[2:-2]])
    cut.parts.append(
        path(d, fill="none", stroke=shade(LEATHER_DARK, -0.5), stroke_width=3.4, class_="shine")
    )


def _section(truth: str, dice: Random, colour: str) -> Section:
    cut = Section(flipped=dice.random() < 0.5, zoom=ZOOM, origin=ORIGIN, tints={"leather": colour})
    if truth == "raw_cut":
        _stack(cut)
    elif truth == "turned":
        _turn(cut)
    elif truth == "bound":
        _bind(cut)
    elif truth == "burnished":
        _polish(cut)
    else:
        _coat(cut, dice, truth == "thick_paint")
    return cut


def _fluff(cut: Section, dice: Random) -> list[Node]:
    """Threads that stand out of a core left bare."""
    top, bottom = LAYERS["core"]
    runs = [
        [cut.place((EDGE, y)), cut.place((EDGE + dice.uniform(7, 17), y + dice.uniform(-4, 4)))]
        for y in (top + 4 + 3.2 * k for k in range(int((bottom - top - 6) / 3.2) + 1))
    ]
    return [
        path(polyline(run), stroke=SOFT_INK, stroke_width=1.1, fill="none", class_="fluff")
        for run in runs
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the end of a strap, cut across.

    Parameters
    ----------
    level : int
        1 offers three edges, 2 four and 3 six; names of the layers stand there at 1 alone.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    cut = _section(truth, dice, HIDES[dice.randrange(len(HIDES))])
    if truth == "raw_cut":
        cut.parts += _fluff(cut, dice)
    if level == 1:
        cut.name_part((70, 36), (70, 80), "face")
        cut.name_part((70, 228), (70, 130), "inside")
    at = cut.place((EDGE + 4, 128))
    side = cut.on_paper((350, 24))
    anchor = "start" if cut.flipped else "end"
    return Drawn(
        question="How was this edge made?",
        title="The end of a strap, cut across",
        description="A strap or a panel of a bag seen end-on, its layers drawn thick, its edge to "
        "one side.",
        body=[
            *cut.parts,
            label(side, "the edge", text_anchor=anchor, font_size=11, fill=SOFT_INK),
            path(
                polyline([cut.on_paper((322, 32)), cut.on_paper((296, 78))]),
                stroke=INK,
                stroke_width=0.8,
                fill="none",
            ),
        ],
        shown=[
            shown_ring(at, 40, 88),
            note((180, 250), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=cut.tiles(),
        answers=answers,
        caution="Look at an edge that is there already, at a hole or at the tip: nothing is cut.",
        height=260,
    )


FAMILY = Family(
    id="panel_edges",
    name="Edges of straps and panels",
    about="Tell a raw, painted, turned, bound or polished edge by what lies at its end.",
    zone="body",
    signal_ids=("bag_edge",),
    draw=draw,
)
