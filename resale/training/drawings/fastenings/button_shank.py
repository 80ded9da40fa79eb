"""How a button is sewn, seen from the side: loose, flat, on a stem, on a wrapped stem."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    THREAD,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.svg import Node, ellipse, line, path, smooth

LOOSE = Answer("loose", "Loose ends, wobbling")
FLAT = Answer("flat", "Flat but firm")
SHANK = Answer("shank", "Short thread stem")
WRAPPED = Answer("wrapped", "Stem wrapped and tied")
OFFERED = {
    1: (FLAT, WRAPPED),
    2: (LOOSE, FLAT, SHANK, WRAPPED),
    3: (LOOSE, FLAT, SHANK, WRAPPED),
}
# Height of the stem above the cloth, drawing units: least and most.
STEMS = {1: (40, 48), 2: (26, 34), 3: (15, 20)}
CLOTH_Y = 146.0
MIDDLE = 180.0
BUTTONS = ("#e7dfcd", "#8f7350", "#5a4a42", "#cfc9bd")
YARN = "#f5ecd8"
WHY = {
    "loose": "Slack loops and a loose end: it hangs and will soon be lost.",
    "flat": "The button is pulled tight on the cloth: firm, but no room for a second layer.",
    "shank": "Threads run straight up from the cloth: a stem that leaves room for a buttonhole, "
    "not wrapped.",
    "wrapped": "The stem is wound round and round and tied: room for a buttonhole, and no thread "
    "can pull loose alone.",
}


def _thread(d: str, name: str, width: float = 3.0) -> list[Node]:
    return [
        path(
            d,
            stroke=INK,
            stroke_width=width + 1.6,
            fill="none",
            stroke_linecap="round",
            stroke_linejoin="round",
        ),
        path(
            d,
            stroke=YARN,
            stroke_width=width,
            fill="none",
            stroke_linecap="round",
            stroke_linejoin="round",
            class_=name,
        ),
    ]


def _button(top: float, colour: str, tilt: float) -> list[Node]:
    """Side view of a button whose underside lies at a height; the thread's bars show on top."""
    half, thick, lift, under = 92.0, 24.0, tilt, top
    left, right, face = MIDDLE - half, MIDDLE + half, top - thick
    d = (
        f"M{left} {under - 9 + lift:.2f}C{left + 10} {under + lift * 0.6:.2f} "
        f"{MIDDLE - 40} {under:.2f} {MIDDLE} {under:.2f}C{MIDDLE + 40} {under:.2f} "
        f"{right - 10} {under - lift * 0.6:.2f} {right} {under - 9 - lift:.2f}"
        f"L{right} {face + 2 - lift:.2f}"
        f"C{MIDDLE + 60} {face - 5 - lift * 0.5:.2f} {MIDDLE + 34} {face + 5:.2f} "
        f"{MIDDLE} {face + 5:.2f}C{MIDDLE - 34} {face + 5:.2f} "
        f"{MIDDLE - 60} {face - 5 + lift * 0.5:.2f} {left} {face + 2 + lift:.2f}Z"
    )
    bars = _thread(
        f"M{MIDDLE - 15} {under - thick + 6}C{MIDDLE - 9} {under - thick - 3} {MIDDLE + 9} "
        f"{under - thick - 3} {MIDDLE + 15} {under - thick + 6}",
        "bar",
        4.0,
    )
    return [
        path(
            d,
            fill=colour,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="button",
        ),
        path(
            f"M{MIDDLE - half + 8} {under - 16 + lift:.2f}H{MIDDLE - half + 50}",
            stroke=shade(colour, -0.7),
            stroke_width=BOLD,
            stroke_opacity=0.6,
            stroke_linecap="round",
        ),
        *bars,
    ]


def _stem(dice: Random, truth: str, gap: float) -> list[Node]:
    """Threads between cloth and button."""
    under = CLOTH_Y - gap
    if truth == "flat":
        return []
    parts: list[Node] = []
    if truth == "loose":
        for side in (-1, 1):
            wide = dice.uniform(10, 15) * side
            parts += _thread(
                f"M{MIDDLE + side * 8} {CLOTH_Y + 4}C{MIDDLE + side * 6 + wide:.2f} "
                f"{CLOTH_Y - gap * 0.2:.2f} {MIDDLE + wide:.2f} {under + gap * 0.3:.2f} "
                f"{MIDDLE + side * 5} {under - 3:.2f}",
                "stem-thread",
            )
        return parts
    threads = (-11, -4, 4, 11)
    for x in threads:
        parts += _thread(
            f"M{MIDDLE + x * 0.8:.2f} {CLOTH_Y + 4}L{MIDDLE + x:.2f} {under - 3:.2f}", "stem-thread"
        )
    if truth == "wrapped":
        turns = max(3, round(gap / 5.2))
        for k in range(turns):
            y = CLOTH_Y - 2.5 - (k + 0.2) * (gap - 3) / turns
            parts += _thread(f"M{MIDDLE - 14} {y + 1.2:.2f}L{MIDDLE + 14} {y - 1.2:.2f}", "wrap")
    return parts


def _tail(dice: Random, truth: str) -> list[Node]:
    """Loose ends hang over the cloth; other stems may show a trimmed end, which is nothing."""
    if truth != "loose":
        return []
    way = dice.choice((-1, 1))
    points = [
        (MIDDLE + way * 14, CLOTH_Y + 1),
        (MIDDLE + way * 32, CLOTH_Y - 12),
        (MIDDLE + way * 52, CLOTH_Y + 8),
        (MIDDLE + way * dice.uniform(72, 96), CLOTH_Y + 26),
    ]
    return _thread(smooth(points), "tail")


def _cloth(colour: str) -> list[Node]:
    d = f"M8 {CLOTH_Y}H352V{CLOTH_Y + 18}H8Z"
    under = f"M8 {CLOTH_Y + 18}H352V{CLOTH_Y + 34}H8Z"
    return [
        path(under, fill=shade(colour, 0.22), stroke=INK, stroke_width=MEDIUM),
        path(d, fill=filled("front"), stroke=INK, stroke_width=MEDIUM, class_="cloth"),
        *_thread(f"M{MIDDLE - 13} {CLOTH_Y + 36}H{MIDDLE + 13}", "knot", 4.0),
    ]


def _shown(truth: str, gap: float) -> list[Node]:
    captions = {
        "loose": "slack and a loose end",
        "flat": "no gap",
        "shank": "a stem, bare",
        "wrapped": "a stem, wound round",
    }[truth]
    shown: list[Node] = [note((180, 212), captions, text_anchor="middle", font_size=14)]
    if gap > 1:
        shown.append(arrow_line((MIDDLE + 104, CLOTH_Y), (MIDDLE + 104, CLOTH_Y - gap)))
        shown.append(note((MIDDLE + 114, CLOTH_Y - gap / 2 + 4), "gap"))
    else:
        shown.append(
            line((60, CLOTH_Y), (300, CLOTH_Y), stroke=THREAD, stroke_width=BOLD, class_="shown")
        )
    return shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw a button from the side, with the thread between it and the cloth.

    Parameters
    ----------
    level : int
        1 tells flat from wrapped on a long stem; 2 and 3 add loose and unwrapped ones, on ever
        shorter stems.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(OFFERED[level]).id
    gap = 0.0 if truth == "flat" else dice.uniform(*STEMS[level])
    tilt = dice.choice((-1, 1)) * dice.uniform(5, 8) if truth == "loose" else 0.0
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    body = [
        *_cloth(colour),
        ellipse((MIDDLE, CLOTH_Y + 2), 94, 4, fill=INK, fill_opacity=0.15),
        *_stem(dice, truth, gap),
        *_button(CLOTH_Y - gap, dice.choice(BUTTONS), tilt),
        *_tail(dice, truth),
    ]
    if level == 1:
        body += [
            label((MIDDLE - 100, CLOTH_Y - gap - 8), "button", text_anchor="end", fill=SOFT_INK),
            label((14, CLOTH_Y - 6), "cloth", fill=SOFT_INK),
        ]
    return Drawn(
        question="How is this button sewn on?",
        title="A button from the side",
        description="A button seen from the side, the cloth under it, and whatever thread lies "
        "between the two.",
        body=body,
        shown=_shown(truth, gap),
        truth=truth,
        why=WHY[truth],
        definitions=(weave("front", colour),),
        answers=OFFERED[level],
        height=226,
    )


FAMILY = Family(
    id="button_shank",
    name="How a button is sewn",
    about="Tell a flat button from one on a stem, and a sound stem from a loose one.",
    zone="front",
    signal_ids=("button_shank",),
    draw=draw,
)
