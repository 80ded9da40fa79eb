"""Stitches on the rim of a shoe: whether they hold the sole, or only look as if they did."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LEATHER,
    RUBBER,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.shoes.rim_views import (
    RIM_BOTTOM,
    RIM_TOP,
    UNDER_ROW,
    edge_view,
    rim_section,
    rim_view,
    underside_view,
)
from resale.training.drawings.svg import Node, line, path, polyline

NONE = Answer("no_stitching", "No stitching on a rim")
SHAM = Answer("sham", "Sham: it holds nothing")
UNSURE = Answer("unsure", "Cannot tell from this")
REAL = Answer("real", "Real: it holds the sole")
OFFERED = {1: (SHAM, REAL), 2: (NONE, SHAM, REAL), 3: (NONE, SHAM, UNSURE, REAL)}

WHY = {
    ("real", 1): "The thread goes through welt and outsole and is locked below.",
    ("sham", 1): "The thread lies in a groove of the rim and never reaches the outsole; glue does "
    "the work.",
    ("no_stitching", 0): "No stitches on the rim, so there is nothing to doubt: look for how the "
    "sole is held elsewhere.",
    ("real", 2): "Each stitch on the rim has its fellow on the underside, as the two threads of "
    "one seam do, and a joint shows between welt and sole.",
    ("sham", 2): "The underside is smooth, rim and sole are one piece without a joint, and the "
    "stitches lie in a moulded groove.",
    ("sham", 3): "The marks below are spaced unlike those on the rim, and rim and sole are one "
    "piece: both rows were moulded.",
    ("real", 3): "A fine cut runs along the underside near the edge: the channel that the seam "
    "was closed into. With the joint at the edge and thread that dips in, it is real.",
    ("unsure", 3): "A guard covers the underside, and the edge is painted over: neither the lower "
    "thread nor a joint can be seen. Say so rather than guess.",
}


def _shown(truth: str, level: int) -> list[Node]:
    words = {
        "real": "holds the sole",
        "sham": "holds nothing",
        "no_stitching": "no stitches",
        "unsure": "cannot be seen",
    }[truth]
    if level == 1:
        caption = note((272, 150), words, text_anchor="middle", font_size=13)
        return [shown_ring((272, 202), 34, 44), caption]
    rings = [shown_ring((180, UNDER_ROW), 150, 13)]
    if truth == "no_stitching":
        rings = [shown_ring((180, (RIM_TOP + RIM_BOTTOM) / 2), 150, 13)]
    if truth in {"real", "sham"}:
        rings.append(shown_ring((76, RIM_BOTTOM + 13), 40, 10))
    return [*rings, note((180, 206), words, text_anchor="middle", font_size=14)]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a rim from the side, and its section or its underside.

    Parameters
    ----------
    level : int
        1 shows the rim cut through, with names; 2 and 3 its underside, with a rim without stitches
        added, and at 3 one that cannot be told.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(OFFERED[level]).id
    pitch = dice.uniform(13.5, 17.5)
    leather = shade(LEATHER, dice.uniform(0.0, 0.25))
    body = [*rim_view(truth, pitch, leather), *edge_view(truth, leather, painted=truth == "unsure")]
    definitions: list[Node] = []
    if level == 1:
        section = rim_section(truth)
        body += [
            *section.parts,
            line((84, 246), (330, 246), stroke=INK, stroke_width=BOLD, stroke_opacity=0.7),
        ]
        body += [
            label((14, 200), "the rim", fill=SOFT_INK),
            label((14, 215), "cut through", fill=SOFT_INK),
            path(
                polyline([(14, 134), (346, 134)]),
                stroke=SOFT_INK,
                stroke_width=0.6,
                stroke_dasharray="1 3",
            ),
        ]
        definitions = section.tiles()
    else:
        body += underside_view(truth, level, pitch, dice.choice((leather, RUBBER)))
        body += [
            label((346, 137), "from the side", text_anchor="end", font_size=11, fill=SOFT_INK),
            label((346, 256), "from below", text_anchor="end", font_size=11, fill=SOFT_INK),
        ]
    why = WHY.get((truth, level)) or WHY.get((truth, 0)) or WHY[(truth, 2)]
    second = "the rim cut through" if level == 1 else "the sole seen from below"
    return Drawn(
        question="Does the stitching on the rim hold the sole?",
        title="The rim of a shoe",
        description=f"The rim of a shoe seen from the side, with the upper above it, and {second}.",
        body=body,
        shown=_shown(truth, level),
        truth=truth,
        why=why,
        definitions=definitions,
        answers=OFFERED[level],
    )


FAMILY = Family(
    id="false_welt",
    name="True welt or false",
    about="Tell stitches that hold the sole from stitches that only look the part.",
    zone="sole",
    signal_ids=("false_welt",),
    draw=draw,
)
