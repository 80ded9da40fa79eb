"""What a fibre label says, as plain values: lines, parts, questions, and a clean text of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from resale.garments.fibres.names import FIBRES, UNKNOWN, fold, read_shipped_words, shown_name

QuestionKind = Literal[
    "empty",
    "too_long",
    "unknown_word",
    "sum",
    "percent_range",
    "missing_percent",
    "missing_fibre",
    "loose_figure",
    "empty_part",
    "other_fibres",
    "caution",
]

WHOLE = "whole"
"""Name of the part of a label that names no part."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing the desk has to settle by looking at the garment again.

    Attributes
    ----------
    kind : str
        What sort of question; see ``QuestionKind``.
    sentence : str
        One whole sentence to show.
    part : str
        Part of the item it is about, or empty.
    word : str
        The words asked about, as written, or empty.
    suggestion : str
        Id of the closest known fibre, or empty. Offer it; never take it unasked.
    """

    kind: QuestionKind
    sentence: str
    part: str = ""
    word: str = ""
    suggestion: str = ""


@dataclass(frozen=True, slots=True)
class FibreLine:
    """One entry of a label.

    Attributes
    ----------
    percent : float or None
        Percent of weight, over 0 to 100; None where the label does not give a usable one.
    fibre_id : str
        A fibre of the table, or ``unknown``.
    marks : tuple of str
        ``virgin``, ``recycled``, ``merino`` ..., sorted.
    word : str
        For an unknown fibre, the folded words of the label joined by ``/``.
    """

    percent: float | None
    fibre_id: str
    marks: tuple[str, ...] = ()
    word: str = ""

    @property
    def text(self) -> str:
        """The line as a label would print it in English."""
        words = [mark_word(mark) for mark in self.marks]
        if self.fibre_id != UNKNOWN:
            words.append(shown_name(self.fibre_id))
        elif self.word:
            # The sign keeps a word unknown when the text is read again, whatever stands around it.
            words.append("/".join(f"?{word}" for word in self.word.split("/")))
        return " ".join([show_percent(self.percent), *filter(None, words)])


@dataclass(frozen=True, slots=True)
class FibrePart:
    """The content of one part of the item.

    Attributes
    ----------
    name : str
        ``whole``, ``shell``, ``lining``, ``sleeve_lining`` ...
    lines : tuple of FibreLine
        Most first; lines without a percentage last.
    outside : tuple of FibreLine
        Lines of an 'except' or 'exclusive of' clause: they do not count in the hundred.
    """

    name: str
    lines: tuple[FibreLine, ...]
    outside: tuple[FibreLine, ...] = ()

    @property
    def fibres(self) -> tuple[tuple[str, float], ...]:
        """Pairs (fibre id, percent), most first; ``unknown`` keeps the share nobody could name."""
        shares: dict[str, float] = {}
        for line in self.lines:
            if line.percent is not None:
                shares[line.fibre_id] = round(shares.get(line.fibre_id, 0.0) + line.percent, 2)
        return tuple(sorted(shares.items(), key=lambda pair: -pair[1]))

    @property
    def named_only(self) -> tuple[str, ...]:
        """Fibres that the label names without a percentage."""
        return tuple(line.fibre_id for line in self.lines if line.percent is None)

    @property
    def total(self) -> float:
        """Sum of the percentages given."""
        return round(sum(line.percent or 0.0 for line in self.lines), 2)

    @property
    def text(self) -> str:
        """The part in one line, without its name."""
        inside = ", ".join(line.text for line in self.lines)
        outside = ", ".join(line.text for line in self.outside)
        return ", ".join(filter(None, [inside, f"except {outside}" if outside else ""]))


@dataclass(frozen=True, slots=True)
class FibreLabel:
    """A label as read: parts, what to ask, and what was repaired on the way.

    Attributes
    ----------
    parts : tuple of FibrePart
        In the order written.
    questions : tuple of Question
        Empty when nothing is open.
    repairs : tuple of str
        One sentence for each thing not read as written.
    source : str
        The text that was read; two labels are equal whatever text they came from.
    """

    parts: tuple[FibrePart, ...] = ()
    questions: tuple[Question, ...] = ()
    repairs: tuple[str, ...] = ()
    source: str = field(default="", compare=False)

    def part(self, name: str) -> FibrePart | None:
        """Give the part of that name, or None where the label has none."""
        return next((part for part in self.parts if part.name == name), None)

    @property
    def main(self) -> FibrePart | None:
        """The part that the price looks at: shell, else the unnamed whole, else the first."""
        first = self.parts[0] if self.parts else None
        return self.part("shell") or self.part(WHOLE) or first


def show_percent(percent: float | None) -> str:
    """Write a percentage; ``?%`` where it is not known.

    Examples
    --------
    >>> show_percent(95.0), show_percent(52.5), show_percent(None)
    ('95%', '52.5%', '?%')
    """
    if percent is None:
        return "?%"
    return f"{percent:.2f}".rstrip("0").rstrip(".") + "%"


@cache
def mark_word(mark: str) -> str:
    """Give the English word for a mark such as ``recycled``."""
    words: list[str] = read_shipped_words()["marks"][mark]
    named: Iterable[str] = (
        fibre.marked[mark][0] for fibre in FIBRES.values() if mark in fibre.marked
    )
    return fold(words[0]) if words else fold(next(iter(named)))
