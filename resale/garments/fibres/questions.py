"""What the reader of a fibre label asks the desk, and when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from resale.garments.fibres.content import (
    WHOLE,
    FibrePart,
    Question,
    QuestionKind,
    show_percent,
)
from resale.garments.fibres.names import FIBRES, UNKNOWN, shown_name
from resale.garments.fibres.tokens import Item

SUM_TOLERANCE = 3.0
"""Points either way of 100 that are accepted and said.

The figure is the tolerance of labelling law for a stated share (16 CFR 303.43, from memory;
Reg. (EU) 1007/2011 art. 20, seen on a laboratory's page), taken over for the sum.
"""


@dataclass(slots=True)
class Notes:
    """What the reader has to say, in order."""

    questions: list[Question] = field(default_factory=list)
    repairs: list[str] = field(default_factory=list)

    def ask(
        self,
        kind: QuestionKind,
        sentence: str,
        part: str = "",
        *,
        word: str = "",
        suggestion: str = "",
    ) -> None:
        """Note a question.

        Parameters
        ----------
        kind : str
            Which question it is, for whoever tells them apart.
        sentence : str
            As a reader gets it.
        part : str
            Of the label, such as the lining; empty where it is about the whole.
        word : str
            As it stands on the label, where one word is meant.
        suggestion : str
            What it may mean.
        """
        self.questions.append(Question(kind, sentence, part, word, suggestion))


def title(part: str) -> str:
    """Open a sentence about a part."""
    return "The label" if part == WHOLE else f"The {part.replace('_', ' ')}"


def ask_about_percentages(part: FibrePart, notes: Notes) -> None:
    """Ask for missing percentages and about a sum that is not 100.

    Parameters
    ----------
    part : FibrePart
    notes : Notes
        Takes the questions.
    """
    gap = round(part.total - 100, 2)
    if part.named_only:
        _ask_for_percentages(part, notes)
    if not part.named_only or gap > 0:
        if abs(gap) > SUM_TOLERANCE:
            notes.ask(
                "sum",
                f"{title(part.name)} adds up to {show_percent(part.total)}, not 100%; "
                "look at the figures again.",
                part.name,
            )
        elif gap and not part.named_only:
            notes.repairs.append(
                f"{title(part.name)} adds up to {show_percent(part.total)}; accepted, being "
                "within 3 points of 100%."
            )


def _ask_for_percentages(part: FibrePart, notes: Notes) -> None:
    if any(
        q.kind == "percent_range" and part.name in q.part.split(" and ") for q in notes.questions
    ):
        return
    names = ", ".join(shown_name(fibre_id) for fibre_id in part.named_only)
    rest = round(100 - part.total, 2)
    only_one = len(part.named_only) == 1 and 0 < rest < 100
    hint = f"; {show_percent(rest)} would make it 100%" if only_one else ""
    notes.ask(
        "missing_percent",
        f"{title(part.name)} names {names} without a percentage{hint}; say how much it is.",
        part.name,
    )


def ask_about_other_fibres(part: FibrePart, notes: Notes) -> None:
    """Ask what the label leaves unnamed, which labelling law allows for a small share.

    Parameters
    ----------
    part : FibrePart
    notes : Notes
        Takes the questions.
    """
    share = next((line for line in part.lines if line.fibre_id == "other_fibres"), None)
    if share is not None:
        notes.ask(
            "other_fibres",
            f"{title(part.name)} has {show_percent(share.percent)} other fibres, which it "
            "does not name; say what you see and feel, or leave it open.",
            part.name,
        )


def ask_about_animals(parts: Sequence[FibrePart], items: Sequence[Item], notes: Notes) -> None:
    """Pass on cautions about fur, protected animals and parts of animal origin.

    Parameters
    ----------
    parts : sequence of FibrePart
        Of which each fibre is asked about once.
    items : sequence of Item
        Words of the label that are no fibres, such as parts of animals.
    notes : Notes
        Takes the questions.
    """
    named = {line.fibre_id for part in parts for line in (*part.lines, *part.outside)}
    for fibre_id in sorted(named - {UNKNOWN}):
        caution = FIBRES[fibre_id].caution
        if caution:
            notes.ask("caution", f"{caution[0].upper()}{caution[1:]}.", word=fibre_id)
    if any(item.kind == "animal_parts" for item in items):
        notes.ask(
            "caution",
            "The label says that it has parts of animal origin, such as fur, leather or bone: "
            "find out which before pricing, and hold fur for a lead; local law decides.",
        )
