"""What a surface is: full grain, corrected, suede, a film on cloth, or pressed fibre."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import BOLD, INK, SOFT_INK, label, note, shown_ring
from resale.training.drawings.surfaces.cut_edges import crumb_edge, fibre_edge, woven_edge
from resale.training.drawings.surfaces.faces import napped, pored, printed
from resale.training.drawings.svg import Node, group, rect

LEFT, TOP, RIGHT, FACE_BOTTOM, EDGE_BOTTOM = 14.0, 14.0, 346.0, 168.0, 212.0
FACE = (LEFT, TOP, RIGHT, FACE_BOTTOM)
EDGE = (LEFT, FACE_BOTTOM, RIGHT, EDGE_BOTTOM)
FULL = Answer("full_grain", "Full grain leather")
CORRECTED = Answer("corrected", "Corrected grain leather")
SUEDE = Answer("suede", "Suede")
FILM = Answer("film", "A film on cloth: no leather")
PRESSED = Answer("bonded", "Pressed fibre: bonded")
OFFERED = {
    1: (FULL, SUEDE, FILM),
    2: (FULL, CORRECTED, SUEDE, FILM),
    3: (FULL, CORRECTED, SUEDE, FILM, PRESSED),
}
PLAIN = {1: 0.42, 2: 0.3, 3: 0.2}
"""How far its figure stands off from the ground."""

HIDES = ("#a8774a", "#8a5a3a", "#6f4630", "#93623f", "#5a4a42")
WHY = {
    "full_grain": "Pores in uneven groups and fine wrinkles that go where they like; the cut edge "
    "is fibre all through. The skin was left as it grew.",
    "corrected": "An even print that repeats row by row under a shine, and yet fibre at the cut "
    "edge: leather whose face was sanded and pressed.",
    "suede": "A nap of short fibres that lies one way and another where a hand went; no pore and "
    "no shine.",
    "film": "The print repeats, and the cut edge shows a film on woven threads: no leather, "
    "whatever the stamp says.",
    "bonded": "The print repeats, and the cut edge shows crumbs of fibre pressed together under a "
    "film: bonded.",
}
FACES: dict[str, Callable[..., list[Node]]] = {
    "full_grain": pored,
    "corrected": printed,
    "suede": napped,
    "film": printed,
    "bonded": printed,
}
EDGES: dict[str, Callable[..., list[Node]]] = {
    "full_grain": fibre_edge,
    "corrected": fibre_edge,
    "suede": fibre_edge,
    "film": woven_edge,
    "bonded": crumb_edge,
}


def draw(level: int, dice: Random) -> Drawn:
    """Draw a surface from above, and its cut edge below.

    Parameters
    ----------
    level : int
        1 offers three surfaces, 2 four and 3 five, with fainter figures.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = dice.choice(HIDES)
    words = words_of(answers, truth)
    face, edge = (rect(a, b, c - a, d - b) for a, b, c, d in (FACE, EDGE))
    frames = [
        rect(a, b, c - a, d - b, fill="none", stroke=INK, stroke_width=BOLD)
        for a, b, c, d in (FACE, EDGE)
    ]
    ground = rect(LEFT, TOP, RIGHT - LEFT, FACE_BOTTOM - TOP, fill=colour, class_="ground")
    return Drawn(
        question="What is this surface, by its face and its cut edge?",
        title="A surface and its cut edge",
        description="A surface seen close from above; along its lower side it is cut, and the edge "
        "is drawn thick.",
        body=[
            group(
                ground, *FACES[truth](dice, colour, PLAIN[level], FACE), clip_path=clipped("face")
            ),
            group(*EDGES[truth](dice, colour, EDGE), clip_path=clipped("edge")),
            *frames,
            label((LEFT, EDGE_BOTTOM + 18), "the cut edge, thick", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((240, 99), 60, 40),
            shown_ring((110, (FACE_BOTTOM + EDGE_BOTTOM) / 2), 66, 20),
            note((180, EDGE_BOTTOM + 42), words.lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("face", face), clip("edge", edge)),
        answers=answers,
        caution="Never cut, burn or wet a thing to find out: look at an edge that is there, inside "
        "a seam or under a strap.",
    )


FAMILY = Family(
    id="grains",
    name="Leather and what passes for it",
    about="Tell full grain, corrected grain, suede, a film on cloth and pressed fibre.",
    zone="cloth",
    signal_ids=("shoe_upper", "bag_material"),
    draw=draw,
)
