"""A fibre label to read, in nine languages: what the outside is made of."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from resale.garments.fibres.names import FIBRES, LANGUAGES
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.labels.lettering import SANS, column, said, strip
from resale.training.drawings.palette import INK, SOFT_INK, label, note, shown_ring
from resale.training.drawings.svg import line

ANSWERS = {
    "wool": Answer("wool", "Pure wool"),
    "cotton": Answer("cotton", "Pure cotton"),
    "linen": Answer("linen", "Linen or hemp"),
    "silk": Answer("silk", "Silk"),
    "cashmere": Answer("cashmere", "Cashmere"),
    "viscose": Answer("viscose", "Viscose family"),
    "polyester": Answer("polyester", "Mostly synthetic"),
    "acrylic": Answer("acrylic", "Much acrylic"),
    "wool_blend": Answer("wool_blend", "Wool blend"),
    "cotton_stretch": Answer("cotton_stretch", "Cotton with stretch"),
}
MADE_OF = {
    "wool": (("wool", 100),),
    "cotton": (("cotton", 100),),
    "linen": (("flax", 100),),
    "silk": (("silk", 100),),
    "cashmere": (("cashmere", 100),),
    "viscose": (("viscose", 100),),
    "polyester": (("polyester", 65), ("viscose", 35)),
    "acrylic": (("acrylic", 60), ("wool", 40)),
    "wool_blend": (("wool", 70), ("polyamide", 30)),
    "cotton_stretch": (("cotton", 97), ("elastane", 3)),
}
OFFERED = {
    1: ("wool", "cotton", "linen", "silk"),
    2: ("wool", "cotton", "linen", "viscose", "wool_blend"),
    3: ("wool", "cashmere", "polyester", "acrylic", "wool_blend", "cotton_stretch"),
}
LINES = {1: 1, 2: 3, 3: 4}
"""Languages on the label."""

LINING = (("polyester", 100),), (("viscose", 100),), (("acetate", 100),)
# Headings as labels print them; from memory of the trade, no source.
OUTSIDE = {
    "en": "Shell",
    "de": "Oberstoff",
    "fr": "Tissu principal",
    "it": "Tessuto esterno",
    "es": "Exterior",
    "pt": "Exterior",
    "nl": "Buitenstof",
    "pl": "Wierzch",
    "sv": "Yttertyg",
}
INSIDE = {
    "en": "Lining",
    "de": "Futter",
    "fr": "Doublure",
    "it": "Fodera",
    "es": "Forro",
    "pt": "Forro",
    "nl": "Voering",
    "pl": "Podszewka",
    "sv": "Foder",
}


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the label: its language, and whether it speaks of the outside."""

    language: str
    outside: bool
    text: str


def _told(parts: tuple[tuple[str, int], ...], language: str) -> str:
    return ", ".join(f"{share} % {FIBRES[fibre].names[language][0]}" for fibre, share in parts)


def _rows(dice: Random, level: int, truth: str) -> list[_Row]:
    """Lines in so many languages; at level 3 with the lining above the outside, as it happens."""
    spoken = [code for code in LANGUAGES if code != "en"]
    chosen = dice.sample(spoken, LINES[level])
    made, lining = MADE_OF[truth], dice.choice(LINING)
    rows: list[_Row] = []
    for code in chosen:
        outside = f"{OUTSIDE[code]}: " if level > 1 else ""
        shell = _Row(code, True, outside + _told(made, code))
        if level == 1:
            rows.append(shell)
            continue
        inner = _Row(code, False, f"{INSIDE[code]}: {_told(lining, code)}")
        rows += [inner, shell] if level == 3 and dice.random() < 0.5 else [shell, inner]
    return rows


def draw(level: int, dice: Random) -> Drawn:
    """Draw a label in one to four languages, English left out.

    Parameters
    ----------
    level : int
        1 names one fibre in one language; 2 has three languages and a lining; 3 four, with blends
        and the lining sometimes first.
    dice : Random
        Chance of this exercise.
    """
    answers = tuple(ANSWERS[one] for one in OFFERED[level])
    truth = dice.choice(answers).id
    rows = _rows(dice, level, truth)
    size, step = (17.0, 30.0) if level == 1 else (12.0, 22.0)
    height = 58 + step * len(rows)
    top = (250 - height) / 2
    first = 24.0
    placed = [(row, top + 34 + step * k) for k, row in enumerate(rows)]
    shell = next(at for row, at in placed if row.outside)
    code = next(row for row in rows if row.outside).language
    english = _told(MADE_OF[truth], "en")
    return Drawn(
        question="What is the outside of this thing made of?",
        title="A fibre label",
        description="A label sewn into a seam. It reads: "
        + "; ".join(row.text for row in rows)
        + ".",
        body=[
            *strip(12, top, 336, height, "#f4efe4", woven=False),
            line(
                (12, top + 10),
                (348, top + 10),
                stroke=INK,
                stroke_width=1.2,
                stroke_dasharray="5 4",
            ),
            *(
                node
                for row, at in placed
                for node in column(
                    first,
                    at,
                    [row.text],
                    size,
                    step,
                    font_family=SANS,
                    class_=f"said {'outside' if row.outside else 'inside'} {row.language}",
                )
            ),
            said(336, top + height - 10, "36 · 38 · 40", 10.0, text_anchor="end", fill=SOFT_INK),
            label(
                (348, 258), "sewn into a side seam", text_anchor="end", font_size=11, fill=SOFT_INK
            ),
        ],
        shown=[
            shown_ring((180, shell - size * 0.35), 160, size * 0.95),
            note(
                (180, 18), f"{LANGUAGES[code].name}: {english}", text_anchor="middle", font_size=13
            ),
        ],
        truth=truth,
        why=f"In {LANGUAGES[code].name} this line says: {english}"
        + (
            ". What stands beside a word for lining says nothing of the outside."
            if level > 1
            else "."
        ),
        answers=answers,
        signal_ids=("fibre_shell",),
        height=266,
    )


FAMILY = Family(
    id="fibre_label",
    name="Fibre labels, nine languages",
    about="Read what the outside is made of, in whatever language it is written.",
    zone="label",
    signal_ids=("fibre_shell",),
    draw=draw,
)
