"""What a sorter writes in a cell: sizes, counts over a gauge, and the words of a fibre label."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resale.garments.rulebook.gradings import Stitches

# Size marks by kind: the signal they must agree with, and marks for each of its options.
SIZES: Mapping[str, tuple[str, Mapping[str, Sequence[str]]]] = {
    "shirt": (
        "size_place",
        {"low_end": ("XS", "S"), "middle": ("M", "L"), "high_end": ("XL", "XXL")},
    ),
    "jacket": (
        "size_place",
        {"low_end": ("44", "46"), "middle": ("48", "50", "52"), "high_end": ("54", "56", "58")},
    ),
    "trousers": (
        "size_place",
        {
            "low_end": ("28/30", "29/32"),
            "middle": ("31/32", "32/32", "33/34", "34/32"),
            "high_end": ("36/34", "38/32", "40/32"),
        },
    ),
    "shoes": (
        "shoe_size",
        {
            "low_end": ("35", "36"),
            "middle": ("37", "38", "39", "40", "41", "42", "43"),
            "high_end": ("44", "45", "46"),
        },
    ),
}
ANY_SIZE = ("small", "medium", "large")

# Gauges as they are written after a count, with their length in inches.
GAUGES = ((" in 1.25 in", 1.25), (" per inch", 1.0), ("/3 cm", 3 / 2.54), (" in 3 in", 3.0))
# A count this near (stitches per inch) to where the grade changes could be read either way.
CLEAR_OF_CUTS = 0.2
FEWEST, MOST = 4.0, 24.0

SHELL_TEXTS: Mapping[str, Sequence[str]] = {
    "acrylic": ("100% acrylic", "55% acrylic 45% polyester"),
    "acetate": ("72% acetate 28% polyester",),
    "polyester": ("100% polyester", "92% polyester 8% elastane", "100% Polyester / poliestere"),
    "cotton_blend": ("65% polyester 35% cotton", "60% cotton 40% polyester"),
    "other_blend": ("40% viscose 40% polyester 20% cotton",),
    "viscose": ("100% viscose", "95% viscose 5% elastane", "68% viscose 32% polyester"),
    "cotton_stretch": (
        "94% cotton 6% elastane",
        "93% cotton 5% polyester 2% elastane",
        "92% Baumwolle 6% Polyester 2% Elasthan",
    ),
    "wool_blend": ("55% wool 45% polyester", "70% wool 30% polyester"),
    "cotton": ("100% cotton", "100% Baumwolle", "100% coton"),
    "natural_blend": ("55% cotton 45% linen", "70% wool 30% silk"),
    "linen": ("100% linen", "88% linen 12% cotton"),
    "wool": ("100% wool", "100% lana"),
    "silk": ("100% silk",),
    "fine_hair": ("60% alpaca 40% wool",),
    "cashmere": ("100% cashmere",),
}
LINING_TEXTS: Mapping[str, str] = {
    "polyester": "100% polyester",
    "acetate": "100% acetate",
    "cotton_or_viscose": "100% viscose",
    "cupro": "100% cupro",
    "silk": "100% silk",
}


def size_mark(kind: str, option: str, chance: float) -> str:
    """Write a size that agrees with where it lies among sizes."""
    marks = SIZES[kind][1].get(option, ("",)) if kind in SIZES else ANY_SIZE
    return marks[int(chance * len(marks))]


def count_text(measure: Stitches, code: int, chance: float) -> str:
    """Write a whole count over a gauge that reads as this step of the ladder."""
    low = max(FEWEST, (0.0, *measure.cuts)[code] + CLEAR_OF_CUTS)
    high = min(MOST, (*measure.cuts, MOST)[code] - CLEAR_OF_CUTS)
    written = [
        f"{count}{words}"
        for words, inches in GAUGES
        for count in range(1, 80)
        if low <= count / inches <= high
    ]
    return written[int(chance * len(written))] if written else ""


def fibre_text(shell: str, lining: str, chance: float) -> str:
    """Write a fibre label that reads as this outer fibre; '' where no label would."""
    texts = SHELL_TEXTS.get(shell, ())
    if not texts:
        return ""
    text = texts[int(chance * len(texts))]
    inside = LINING_TEXTS.get(lining)
    return f"Shell: {text}; lining {inside}" if inside else text
