"""From what was measured or read off a label to an option of a signal: counts, numbers, fibres."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from math import log
from types import MappingProxyType

from resale.errors import ReadingError
from resale.garments.fibres.grade import grade_fibres
from resale.garments.fibres.reader import read_fibre_label
from resale.garments.measures.length import parse_length
from resale.garments.measures.stitch_gauge import density, parse_count
from resale.garments.rulebook.gradings import Fibres, Number, Stitches
from resale.garments.rulebook.signals import Signal

GRAMS_PER_OUNCE_A_YARD = 33.906
"""1 oz/yd² in g/m²: 28.3495 g over 0.9144² m²."""

_DECIMALS = 6
_INSIDE = frozenset(
    {"lining", "sleeve_lining", "pocket", "fill", "interlining", "insole", "sole"}
    | {"trim", "embroidery", "coating", "membrane"}
)
_NUMBER = re.compile(r"(?P<number>\d{1,6}(?:[.,]\d{1,4})?)\s*(?P<unit>\D.*)?")
_UNITS = {
    "%": {"%": 1.0, "percent": 1.0, "per cent": 1.0, "pct": 1.0},
    "g/m²": {"g/m²": 1.0, "g/m2": 1.0, "gsm": 1.0, "g": 1.0},
    "oz/yd²": {"oz/yd²": 1.0, "oz/yd2": 1.0, "oz": 1.0, "ounces": 1.0},
}
_UNITS["threads/in²"] = dict.fromkeys(("threads/in²", "threads/in2", "threads", "tc"), 1.0)
_OF_CM = {"mm": 10.0, "cm": 1.0}
_LIKE = {"mm": "12 mm, 1.2 cm or 1/2 in", "cm": "52 cm, 520 mm or 20 1/2 in"}
_UNITS["g/m²"] |= dict.fromkeys(("oz/yd²", "oz/yd2", "oz"), GRAMS_PER_OUNCE_A_YARD)
_UNITS["oz/yd²"] |= dict.fromkeys(("g/m²", "g/m2", "gsm"), 1 / GRAMS_PER_OUNCE_A_YARD)


@dataclass(frozen=True, slots=True)
class Measured:
    """What a measure says of a signal.

    Attributes
    ----------
    option_id : str or None
        The option it comes to; None where a question has to be answered first.
    sentence : str
        One sentence with the measure, its error where it has one, and the grade.
    questions : tuple of str
        Sentences that the desk should settle by looking again.
    repairs : tuple of str
        Sentences on what was not taken as written.
    """

    option_id: str | None
    sentence: str
    questions: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()


def measure(
    signal: Signal, text: str, answers: Mapping[str, str] = MappingProxyType({})
) -> Measured:
    """Grade what was typed for a measured signal.

    Parameters
    ----------
    signal : Signal
        One with a measure in the rule book.
    text : str
        ``14 in 1.25 in``, ``12 mm``, ``40 %``, ``12 oz``, or the words of a fibre label.
    answers : mapping of signal id to option id, optional
        What else was looked at: jeans are sewn at other counts than dress trousers.

    Returns
    -------
    Measured

    Raises
    ------
    ReadingError
        If the signal is not measured, or the text is no such measure or cannot be.

    Examples
    --------
    >>> from resale.garments.rulebook.rule_book import load_rule_book
    >>> density = load_rule_book().kinds["shirt"].by_id["stitch_density"]
    >>> measure(density, "14 in 1.25 in").sentence
    '14 in 1.25 in is 11.2 to the inch, give or take 0.8: a little low, perhaps usual.'
    """
    if isinstance(signal.measure, Stitches):
        return _by_stitches(signal, signal.measure, text, answers)
    if isinstance(signal.measure, Number):
        return _by_number(signal, signal.measure, text)
    if isinstance(signal.measure, Fibres):
        return _by_fibres(signal, signal.measure, text)
    raise ReadingError(
        f"{text[:40]!r} is a measure, and this is not measured",
        where=signal.name,
        remedy=f"use one of {', '.join(signal.option_ids)}",
    )


# ---------------------------------------------------------------- stitches
def _by_stitches(signal: Signal, how: Stitches, text: str, answers: Mapping[str, str]) -> Measured:
    count, gauge = parse_count(text, where=signal.name)
    found = density(count, gauge)
    per_inch, error = round(float(found.per_inch), _DECIMALS), found.error_per_inch
    bands = how.possible(answers)
    grades = [bisect_right(cuts, per_inch) for _, cuts in bands]
    # While nobody said which sort it is, nothing is charged or paid that another sort would not.
    grade = min(grades, key=lambda one: abs(log(signal.options[one].effect)))
    cuts = bands[grades.index(grade)][1]
    # A count may be one stitch off either way, so a neighbour within that reach is possible too.
    lowest = bisect_right(cuts, round(per_inch - error, _DECIMALS))
    highest = bisect_right(cuts, round(per_inch + error, _DECIMALS))
    others = [_grade_name(signal, g) for g in range(lowest, highest + 1) if g != grade]
    perhaps = f", perhaps {' or '.join(others)}" if others else ""
    typed = " ".join(text.split())
    if re.fullmatch(r"[\d.,]+", typed):
        typed = f"{typed} over {gauge.name}"
    return Measured(
        signal.options[grade].id,
        f"{typed} is {per_inch:.1f} to the inch, give or take {error:.1f}: "
        f"{_grade_name(signal, grade)}{perhaps}.",
        _which_sort(signal, how, bands, grades) if len(set(grades)) > 1 else (),
    )


def _which_sort(
    signal: Signal,
    how: Stitches,
    bands: tuple[tuple[str, tuple[float, ...]], ...],
    grades: list[int],
) -> tuple[str, ...]:
    """Say how the grade hangs on the sort of thing, and which sign tells it."""
    by_name = zip(bands, grades, strict=True)
    said = [f"{_grade_name(signal, g)} {f'for {n}' if n else 'else'}" for (n, _), g in by_name]
    told = (how.told_by or "").replace("_", " ")
    return (f"It would be {', '.join([*said[1:], said[0]])}: answer '{told}' to have it settled.",)


def _grade_name(signal: Signal, grade: int) -> str:
    return _inside_a_sentence(signal.options[grade].name)


def _inside_a_sentence(name: str) -> str:
    return name[:1].lower() + name[1:]


# ---------------------------------------------------------------- numbers
def _by_number(signal: Signal, how: Number, text: str) -> Measured:
    value = (
        _length(text, how.unit, signal) if how.unit in _OF_CM else _plain(text, how.unit, signal)
    )
    if not how.least <= value <= how.most:
        raise ReadingError(
            f"{_shown(value, how.unit)} is outside {how.least:g} to {_shown(how.most, how.unit)}",
            where=signal.name,
            remedy="measure again, and look at the unit",
        )
    grade = bisect_right(how.cuts, value)
    return Measured(
        signal.options[grade].id,
        f"{_shown(value, how.unit)}: {_grade_name(signal, grade)}.",
    )


def _shown(value: float, unit: str) -> str:
    return f"{round(value, 1):g} {unit}"


def _length(text: str, unit: str, signal: Signal) -> float:
    # The rule book says its unit, where a bare length elsewhere means the shop's own.
    bare = re.fullmatch(r"[\d\s.,/⁄¼-¾⅐-⅞-]+", text.strip()) is not None
    try:
        cm = parse_length(f"{text.strip()} {unit}" if bare else text)
    except ReadingError as fault:
        what = f"{text[:40]!r} is not a length" if bare else fault.what
        raise ReadingError(what, where=signal.name, remedy=f"write it like {_LIKE[unit]}") from None
    return round(cm * _OF_CM[unit], _DECIMALS)


def _plain(text: str, unit: str, signal: Signal) -> float:
    known = _UNITS.get(unit, {unit: 1.0})
    found = _NUMBER.fullmatch(text.strip().casefold())
    word = (found["unit"] or "").strip().rstrip(".") if found else ""
    if found is None or (word and word not in known):
        raise ReadingError(
            f"{text[:40]!r} is not a number in {unit}",
            where=signal.name,
            remedy=f"write it like 12 {unit}",
        )
    number = float(found["number"].replace(",", "."))
    if unit == "%" and not word and 0 < number <= 1:
        raise ReadingError(
            f"{text.strip()} could be that many percent or a share of 1",
            where=signal.name,
            remedy=f"write {number * 100:g} % or {number:g} %",
        )
    return round(number * known.get(word, 1.0), _DECIMALS)


# ---------------------------------------------------------------- fibres
def _by_fibres(signal: Signal, how: Fibres, text: str) -> Measured:
    label = read_fibre_label(text)
    questions = tuple(question.sentence for question in label.questions)
    part = label.main if how.part == "shell" else label.part(how.part)
    # A label without part names speaks of the outside; one that names only a lining does not.
    if part is None or (how.part == "shell" and part.name in _INSIDE):
        missing = f"The label does not name the {how.part.replace('_', ' ')}; choose by hand."
        to_ask = questions if label.main is None else (*questions, missing)
        return Measured(None, f"Nothing read for {signal.name.lower()}.", to_ask, label.repairs)
    option_id = grade_fibres(part, how.rules, signal.option_ids)
    if option_id is None:
        name = "not settled until the questions are answered"
        if not questions:
            questions = (f"What {part.text} comes to is not settled; choose by hand.",)
    else:
        name = _inside_a_sentence(signal.option(option_id).name)
    return Measured(option_id, f"{part.text}: {name}.", questions, label.repairs)
