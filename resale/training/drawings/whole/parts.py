"""Whether all that belongs to a coat is there: belt, buttons, hood, and spares."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    BRASS,
    CLOTHS,
    FINE,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    circle,
    group,
    line,
    path,
    polyline,
    rect,
)

MISSING = Answer("missing", "Something is missing")
WHOLE = Answer("whole", "All of it")
SPARES = Answer("with_spares", "All of it, with spares")
ANSWERS = (MISSING, WHOLE, SPARES)
BUTTONS = 5
TRACES = {1: ("belt", "hood"), 2: ("belt", "hood", "button"), 3: ("button", "cuff")}
"""What may be missing; the later, the smaller the trace that it leaves."""

TOP, STEP = 78.0, 30.0
COLLAR_STUDS = ((140.0, 44.0), (163.0, 38.0), (197.0, 38.0), (220.0, 44.0))
CUFFS: tuple[Point, Point] = ((64.0, 178.0), (296.0, 178.0))
TRACE = {
    "belt": "Two loops at the waist and no belt through them",
    "button": "A buttonhole with no button across from it",
    "hood": "Studs along the collar and no hood on them",
    "cuff": "One cuff has its strap and button, the other only the thread of it",
}


def _button(at: Point, radius: float, tint: str, name: str = "button") -> Node:
    holes = (
        circle((at[0] + a, at[1] + b), 0.9, fill=INK) for a in (-1.7, 1.7) for b in (-1.7, 1.7)
    )
    return group(circle(at, radius, fill=tint, stroke=INK, stroke_width=1.2, class_=name), *holes)


def _coat(colour: str) -> list[Node]:
    dark = shade(colour, 0.1)
    body = [(112, 36), (150, 26), (210, 26), (248, 36), (262, 236), (98, 236)]
    arms = (
        [(112, 36), (78, 60), (48, 176), (78, 186), (106, 110)],
        [(248, 36), (282, 60), (312, 176), (282, 186), (254, 110)],
    )
    return [
        *(
            path(
                polyline(arm, closed=True),
                fill=dark,
                stroke=INK,
                stroke_width=MEDIUM,
                stroke_linejoin="round",
            )
            for arm in arms
        ),
        path(
            polyline(body, closed=True),
            fill=filled("main"),
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
        ),
        path(
            polyline(
                [(150, 26), (180, 62), (210, 26), (226, 48), (190, 76), (170, 76), (134, 48)],
                closed=True,
            ),
            fill=shade(colour, 0.05),
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
        ),
        line((172, 76), (172, 236), stroke=shade(colour, 0.45), stroke_width=MEDIUM),
        *(
            path(
                polyline([(x, 172), (x + 34, 172), (x + 34, 177), (x, 177)], closed=True),
                fill=dark,
                stroke=INK,
                stroke_width=FINE,
            )
            for x in (112, 214)
        ),
    ]


Part = tuple[list[Node], list[Node]]
"""What is drawn of a part, and the marks of its reveal."""


def _thread(at: Point, tint: str) -> Node:
    """What is left where a button was."""
    d = f"M{at[0] - 1:g} {at[1] - 2:g}l3 4m-3 0l3 -4"
    return path(d, fill="none", stroke=tint, stroke_width=1.2, class_="old-thread")


def _buttons(tint: str, lost: int | None) -> Part:
    """The front's buttons and their holes; one of them may be gone."""
    body: list[Node] = []
    marks: list[Node] = []
    for k in range(BUTTONS):
        y = TOP + 10 + STEP * k
        hole = line(
            (184, y),
            (197, y),
            stroke=INK,
            stroke_width=2.2,
            stroke_linecap="round",
            class_="buttonhole",
        )
        gone = k == lost
        body += [hole, _thread((180, y), tint) if gone else _button((180, y), 6, tint)]
        marks += [shown_ring((186, y), 20, 12)] if gone else []
    return body, marks


def _belt(colour: str, *, gone: bool) -> Part:
    loops: list[Node] = [
        rect(
            x,
            148,
            6,
            18,
            rx=1.5,
            fill=shade(colour, 0.2),
            stroke=INK,
            stroke_width=FINE,
            class_="belt-loop",
        )
        for x in (108, 246)
    ]
    if gone:
        return loops, [shown_ring((x, 157), 14, 16) for x in (111, 249)]
    belt = path(
        "M100 151H260V163H100Z",
        fill=shade(colour, 0.28),
        stroke=INK,
        stroke_width=MEDIUM,
        class_="belt",
    )
    buckle = rect(170, 147, 24, 20, rx=3, fill="none", stroke=BRASS, stroke_width=4)
    return [*loops, belt, buckle], []


def _hood(colour: str, *, gone: bool) -> tuple[list[Node], Part]:
    """The hood behind the coat, and its studs before it."""
    studs: list[Node] = [
        circle(at, 3, fill=BRASS, stroke=INK, stroke_width=FINE, class_="stud")
        for at in COLLAR_STUDS
    ]
    if gone:
        return [], (studs, [shown_ring((180, 41), 56, 15)])
    hood = path(
        "M128 46C120 2 240 2 232 46L214 34C208 20 152 20 146 34Z",
        fill=shade(colour, 0.16),
        stroke=INK,
        stroke_width=BOLD,
        class_="hood",
    )
    return [hood], (studs, [])


def _cuffs(colour: str, tint: str, lost: int | None) -> Part:
    body: list[Node] = []
    marks: list[Node] = []
    for k, (x, y) in enumerate(CUFFS):
        if k == lost:
            body.append(_thread((x, y - 9), tint))
            marks.append(shown_ring((x, y - 9), 16, 12))
            continue
        strap = rect(
            x - 12,
            y - 14,
            24,
            8,
            rx=2,
            fill=shade(colour, 0.24),
            stroke=INK,
            stroke_width=FINE,
            class_="strap",
        )
        inward = 7 if x < 180 else -7
        body += [strap, _button((x + inward, y - 10), 3, tint, "strap-button")]
    return body, marks


def _spares(tint: str) -> Part:
    bag = path(
        "M28 214H76V250H28Z", fill="#efe8d6", stroke=INK, stroke_width=MEDIUM, class_="spare-bag"
    )
    spares = [_button((40 + 24 * k, 234), 6, tint, "spare") for k in range(2)]
    return [bag, *spares], [shown_ring((52, 232), 36, 26)]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a coat from the front, with what tells that a part was there.

    Parameters
    ----------
    level : int
        1 lacks a belt or a hood; 2 perhaps a button; 3 a button or one cuff strap: ever smaller.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    tint = shade(colour, 0.62)
    gone = dice.choice(TRACES[level]) if truth == "missing" else ""
    has = {part: gone == part or dice.random() < 0.6 for part in ("belt", "hood")}
    lost = dice.randrange(BUTTONS)
    behind: list[Node] = []
    parts = [
        _buttons(tint, lost if gone == "button" else None),
        _cuffs(colour, tint, lost % 2 if gone == "cuff" else None),
    ]
    if has["belt"]:
        parts.append(_belt(colour, gone=gone == "belt"))
    if has["hood"]:
        behind, studs = _hood(colour, gone=gone == "hood")
        parts.append(studs)
    if truth == "with_spares":
        parts.append(_spares(tint))
    words = words_of(ANSWERS, truth)
    place = label((352, 258), "from the front", text_anchor="end", font_size=11, fill=SOFT_INK)
    marks = [mark for _, many in parts for mark in many]
    return Drawn(
        question="Is all there that belongs to this coat?",
        title="A coat from the front",
        description="A coat hung up and seen from the front, closed, with its collar, cuffs and "
        "waist.",
        body=[*behind, *_coat(colour), *(node for nodes, _ in parts for node in nodes), place],
        shown=[*marks, note((180, 256), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=_why(gone, truth),
        definitions=(weave("main", colour, twill=True),),
        answers=ANSWERS,
        height=266,
    )


def _why(gone: str, truth: str) -> str:
    if gone:
        return f"{TRACE[gone]}: something is missing."
    spare = ", and spare buttons hang beside it." if truth == "with_spares" else "."
    return f"Every loop, stud, hole and cuff has what belongs to it{spare}"


FAMILY = Family(
    id="parts",
    name="Is all of it there?",
    about="See by loops, studs, holes and threads that a part was there.",
    zone="whole",
    signal_ids=("parts_whole",),
    draw=draw,
)
