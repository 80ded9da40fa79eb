"""A name on label, button and pull: whether they agree, and when a lead should see it."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.labels.lettering import invented_name, misspelt, said, strip
from resale.training.drawings.palette import (
    BOLD,
    BRASS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, circle, group, line, path, polyline, rect

NO_CLAIM = Answer("no_claim", "No name that anybody wants")
NOTHING = Answer("nothing_odd", "Nothing odd noticed")
DOUBT = Answer("doubt", "Something is odd: to the lead")
ANSWERS = (NO_CLAIM, NOTHING, DOUBT)
FAR = {1: 3, 2: 2, 3: 1}
PLACES = {"label": (180.0, 66.0), "tab": (92.0, 184.0), "pull": (268.0, 184.0)}
WHY = {
    "no_claim": "Label, tab and pull say only size and cloth: no name is claimed, so there is "
    "nothing to doubt.",
    "nothing_odd": "Label, tab and pull spell the name alike and evenly. That proves nothing, and "
    "nothing odd was noticed: enter just that.",
    "doubt": "The name is spelt in two ways on one thing. A good maker reads its own name: note "
    "the doubt and hand it to the lead. Nobody at the desk says what it is.",
}


def draw(level: int, dice: Random) -> Drawn:
    """Draw three places where a maker's name may stand.

    Parameters
    ----------
    level : int
        How far the odd one is spelt otherwise: another ending, a letter missing, two swapped.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    name = invented_name(dice)
    texts = dict.fromkeys(PLACES, name)
    odd = dice.choice(sorted(PLACES))
    if truth == "doubt":
        texts[odd] = misspelt(dice, name, FAR[level])
    if truth == "no_claim":
        texts = {
            "label": "Pure wool",
            "tab": f"Size {dice.choice((38, 40, 42))}",
            "pull": "Dry clean",
        }
    colour = dice.choice(("#2f3a4a", "#4a2f2f", "#33402f"))
    rings = (
        [shown_ring(PLACES[odd], 84 if odd == "label" else 66, 26)]
        if truth == "doubt"
        else [shown_ring(at, 84 if place == "label" else 66, 24) for place, at in PLACES.items()]
    )
    words = words_of(ANSWERS, truth)
    return Drawn(
        question="What do you enter about the maker?",
        title="Three places on one bag",
        description="The inner label, a leather tab and a zip pull of one bag, drawn close. They "
        f"read: {', '.join(texts.values())}. All names are invented.",
        body=[
            *strip(58, 34, 244, 60, colour, woven=True),
            said(
                180,
                73,
                texts["label"],
                25.0,
                text_anchor="middle",
                fill="#e8d9a8",
                class_="said claim",
            ),
            *_tab(texts["tab"]),
            *_pull(texts["pull"]),
            *(
                label((x, y), text, text_anchor="middle", font_size=11, fill=SOFT_INK)
                for x, y, text in (
                    (180, 112, "inner label"),
                    (92, 226, "leather tab"),
                    (268, 226, "zip pull"),
                )
            ),
        ],
        shown=[
            *rings,
            note((180, 24), words.split(": ")[0].lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        answers=ANSWERS,
        caution="A good copy passes at a desk and an odd true piece fails: note doubt, and never "
        "vouch for anything.",
    )


def _tab(text: str) -> list[Node]:
    hide = "#8a5a3a"
    return [
        rect(24, 160, 136, 48, rx=7, fill=hide, stroke=INK, stroke_width=BOLD),
        rect(
            29,
            165,
            126,
            38,
            rx=4,
            fill="none",
            stroke=shade(hide, -0.5),
            stroke_width=1.3,
            stroke_dasharray="4 3",
        ),
        said(92, 189, text, 15.0, text_anchor="middle", fill="#f4e6c8", class_="said claim"),
    ]


def _pull(text: str) -> list[Node]:
    body = polyline([(206, 160), (322, 160), (336, 184), (322, 208), (206, 208)], closed=True)
    return [
        path(body, fill=BRASS, stroke=INK, stroke_width=BOLD, stroke_linejoin="round"),
        line((210, 165), (320, 165), stroke=shade(BRASS, -0.6), stroke_width=1.6),
        group(
            circle((197, 184), 11, fill="none", stroke=INK, stroke_width=5),
            circle((197, 184), 11, fill="none", stroke=BRASS, stroke_width=MEDIUM + 1),
        ),
        said(266, 189, text, 15.0, text_anchor="middle", fill=INK, class_="said claim"),
    ]


FAMILY = Family(
    id="maker_claims",
    name="A name in three places",
    about="Notice where a thing spells its own name in two ways, and vouch for nothing.",
    zone="label",
    signal_ids=("maker_doubt",),
    draw=draw,
)
