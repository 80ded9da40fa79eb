"""Read a fibre label in any of nine languages; ask where it cannot be read, never guess."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from resale.garments.fibres.content import (
    FibreLabel,
    FibreLine,
    FibrePart,
    Question,
    QuestionKind,
    show_percent,
)
from resale.garments.fibres.grouping import (
    Group,
    Section,
    attach_marks,
    group_lines,
    split_sections,
)
from resale.garments.fibres.names import UNKNOWN, closest_fibre, fold, shown_name
from resale.garments.fibres.questions import (
    SUM_TOLERANCE,
    Notes,
    ask_about_animals,
    ask_about_other_fibres,
    ask_about_percentages,
    title,
)
from resale.garments.fibres.tokens import Item, cut_label, quoted

__all__ = ["FibreLabel", "FibreLine", "FibrePart", "Question", "read_fibre_label"]

LONGEST_LABEL = 2000
"""Characters; a longer text is a page pasted by mistake, not a label."""


@dataclass(slots=True)
class _Draft:
    """A part while it is being read."""

    lines: list[FibreLine] = field(default_factory=list)
    outside: list[FibreLine] = field(default_factory=list)
    has_figures: bool = False
    is_blend: bool = False


def read_fibre_label(text: str) -> FibreLabel:
    """Read the fibre content of a garment from its label.

    Parameters
    ----------
    text : str
        The label as typed, one or more lines, any of the languages of the fibre table.

    Returns
    -------
    FibreLabel
        Parts with their fibres in percent of weight, questions for the desk, and a sentence for
        each thing repaired. Never raises: what cannot be read comes back as a question.

    Notes
    -----
    A word that is not known is never dropped and never guessed: its share stays in the part as
    ``unknown``. One slip of a letter in a word of five letters or more is repaired, and said,
    where only one meaning is near. The same line in several languages counts once. A typist may
    write ``?%`` for a figure and ``?word`` for a word that cannot be made out.

    Examples
    --------
    >>> read_fibre_label("95% cotton/coton/cotone 5% élasthanne").main.fibres
    (('cotton', 95.0), ('elastane', 5.0))
    """
    if not text.strip():
        return _only_question("empty", "The label is empty; type what it says, or leave it.", text)
    if len(text) > LONGEST_LABEL:
        return _only_question(
            "too_long",
            f"The label has {len(text)} characters, more than {LONGEST_LABEL}; "
            "type only the lines that name the fibres.",
            text,
        )
    cut = cut_label(text)
    notes = Notes(repairs=cut.repairs)
    drafts: dict[str, _Draft] = {}
    for section in split_sections(cut.items):
        _read_section(section, drafts, notes)
    parts = [_finish(name, draft, notes) for name, draft in drafts.items()]
    read = tuple(part for part in parts if part.lines or part.outside)
    ask_about_animals(read, cut.items, notes)
    if not (read or notes.questions):
        notes.ask("empty", "No fibre was found in the label; type what it says, or leave it.")
    return FibreLabel(
        read, tuple(dict.fromkeys(notes.questions)), tuple(dict.fromkeys(notes.repairs)), text
    )


def _only_question(kind: QuestionKind, sentence: str, text: str) -> FibreLabel:
    return FibreLabel(questions=(Question(kind, sentence),), source=text)


# ---------------------------------------------------------------- one section
def _read_section(section: Section, drafts: dict[str, _Draft], notes: Notes) -> None:
    part = " and ".join(section.parts)
    if section.is_empty:
        notes.ask("empty_part", f"{title(part)} is named, but no fibre stands with it.", part)
        return
    if len(section.parts) > 1:
        notes.repairs.append(f"Read the same content for {part.replace('_', ' ')}.")
    lines = _lines_of(section.items, part, notes)
    outside = [line for aside in section.asides for line in _outside_lines(aside, part, notes)]
    for name in section.parts:
        draft = drafts.setdefault(name, _Draft())
        draft.lines += lines
        draft.outside += outside
        draft.has_figures |= any(item.kind == "percent" for item in section.items)
        draft.is_blend |= any(item.kind == "blend" for item in section.items)


def _lines_of(items: Sequence[Item], part: str, notes: Notes) -> list[FibreLine]:
    usable = [
        item for item in items if item.kind in {"percent", "fibre", "mark", "unknown", "break"}
    ]
    sure = attach_marks(_without_loose_figures(usable, part, notes))
    groups, by_order = group_lines(sure)
    lines = [line for group in groups for line in _lines_of_group(group, part, notes)]
    if by_order:
        pairs = ", ".join(line.text for line in lines)
        notes.repairs.append(f"Read the figures in the order of the fibres: {pairs}.")
    return lines


def _without_loose_figures(items: Sequence[Item], part: str, notes: Notes) -> list[Item]:
    """Keep a figure without a percent sign only where it stands beside a fibre."""
    units = [item for item in items if item.kind not in {"break", "mark"}]
    loose = set()
    for place, item in enumerate(units):
        if not item.plain:
            continue
        if _stands_beside_fibre(units, place):
            notes.repairs.append(f"Read {quoted(item.shown)} as {show_percent(item.value)}.")
        else:
            loose.add(id(item))
            notes.ask(
                "loose_figure",
                f"{title(part)} has the figure {quoted(item.shown)} without a percent sign and "
                "beside no fibre; say what it means or take it out.",
                part,
                word=item.shown,
            )
    return [item for item in items if id(item) not in loose]


def _stands_beside_fibre(units: Sequence[Item], place: int) -> bool:
    if not 0 < (units[place].value or 0.0) <= 100:
        return False
    before = units[place - 1] if place else None
    after = units[place + 1] if place + 1 < len(units) else None
    if after is not None and after.kind in {"fibre", "unknown"}:
        return True
    return any(
        near is not None and (near.kind == "fibre" or near.plain) for near in (before, after)
    )


def _lines_of_group(group: Group, part: str, notes: Notes) -> list[FibreLine]:
    percent = _percent_of(group, part, notes)
    marks: dict[str, set[str]] = {}
    for item in group.fibres:
        marks.setdefault(item.ids[0], set()).update(item.marks)
    _ask_about_words(group, list(marks), part, notes)
    if marks:
        return [
            FibreLine(percent if place == 0 else None, fibre_id, tuple(sorted(said)))
            for place, (fibre_id, said) in enumerate(marks.items())
        ]
    if group.percent is None:
        return []
    return [FibreLine(percent, UNKNOWN, word="/".join(fold(item.shown) for item in group.unknown))]


def _percent_of(group: Group, part: str, notes: Notes) -> float | None:
    if group.percent is None or group.percent.value is None:
        return None
    if 0 < group.percent.value <= 100:
        return group.percent.value
    notes.ask(
        "percent_range",
        f"{title(part)} gives {quoted(group.percent.shown)}, which is not over 0 and up to 100; "
        "look at the figure again.",
        part,
        word=group.percent.shown,
    )
    return None


def _ask_about_words(group: Group, known: Sequence[str], part: str, notes: Notes) -> None:
    shown = list(dict.fromkeys(item.shown for item in group.unknown))
    if not shown:
        if not known and group.percent is not None:
            notes.ask(
                "missing_fibre",
                f"{title(part)} gives {show_percent(group.percent.value)} and names no fibre "
                "with it; say which fibre it is.",
                part,
            )
        return
    words = ", ".join(quoted(word, 24) for word in shown[:5])
    more = f" and {len(shown) - 5} more" if len(shown) > 5 else ""
    near = next(filter(None, map(closest_fibre, shown)), "")
    if known:
        ending = f"if it is not another name for {shown_name(known[0])}, say what it is"
    elif near:
        ending = f"the closest known is {shown_name(near)}; say which fibre it is"
    else:
        ending = "say which fibre it is"
    notes.ask(
        "unknown_word",
        f"{title(part)} has {words}{more}, not known here; {ending}.",
        part,
        word=" ".join(shown),
        suggestion=near,
    )


def _outside_lines(aside: Sequence[Item], part: str, notes: Notes) -> list[FibreLine]:
    """Read an 'except' clause; its words on where the fibre sits need no answer."""
    usable = [item for item in aside if item.kind in {"percent", "fibre", "mark", "unknown"}]
    groups, _ = group_lines(attach_marks(usable))
    for group in groups:
        if group.fibres:
            group.unknown.clear()
    silent = Notes()
    lines = [line for group in groups for line in _lines_of_group(group, part, silent)]
    notes.questions += [q for q in silent.questions if q.kind not in {"missing_fibre"}]
    said = ", ".join(line.text for line in lines) or "what the label excepts"
    notes.repairs.append(f"Kept {said} outside the hundred, as the label says.")
    return lines


# ---------------------------------------------------------------- one part
def _finish(name: str, draft: _Draft, notes: Notes) -> FibrePart:
    lines = _merge_repeats(name, draft.lines, notes)
    if _is_lone_fibre(draft, lines):
        notes.repairs.append(
            f"{title(name)} names only {shown_name(lines[0].fibre_id)}, without a percentage; "
            "read as 100%."
        )
        lines = [replace(lines[0], percent=100.0)]
    lines.sort(key=lambda line: -(line.percent or 0.0))
    part = FibrePart(name, tuple(lines), tuple(dict.fromkeys(draft.outside)))
    if lines:
        ask_about_percentages(part, notes)
    ask_about_other_fibres(part, notes)
    return part


def _is_lone_fibre(draft: _Draft, lines: Sequence[FibreLine]) -> bool:
    return (
        len(lines) == 1
        and lines[0].percent is None
        and lines[0].fibre_id not in {UNKNOWN, "other_fibres"}
        and not draft.has_figures
        and not draft.is_blend
    )


def _merge_repeats(name: str, lines: Sequence[FibreLine], notes: Notes) -> list[FibreLine]:
    """Count a line once however many languages repeat it."""
    read = list(dict.fromkeys(lines))
    if _total(read) > 100 + SUM_TOLERANCE:
        # The same share with and without 'organic' is one line that one language says in full.
        read = _merge_marks(read, lambda line: (line.fibre_id, line.percent, line.word))
    with_percent = {line.fibre_id for line in read if line.percent is not None} - {UNKNOWN}
    figures = [line for line in read if line.percent is not None]
    bare = [line for line in read if line.percent is None and line.fibre_id not in with_percent]
    merged = figures + _merge_marks(bare, lambda line: (line.fibre_id, line.percent, line.word))
    if len(figures) < sum(line.percent is not None for line in lines):
        notes.repairs.append(
            f"{title(name)} gives the same line more than once, as labels in several languages "
            "do; counted once."
        )
    return merged


def _merge_marks(
    lines: Iterable[FibreLine], key: Callable[[FibreLine], tuple[object, ...]]
) -> list[FibreLine]:
    merged: dict[tuple[object, ...], FibreLine] = {}
    for line in lines:
        held = merged.setdefault(key(line), line)
        merged[key(line)] = replace(held, marks=tuple(sorted({*held.marks, *line.marks})))
    return list(merged.values())


def _total(lines: Iterable[FibreLine]) -> float:
    return round(sum(line.percent or 0.0 for line in lines), 2)
