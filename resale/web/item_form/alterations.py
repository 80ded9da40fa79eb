"""What a buyer can still have changed on the item at hand, in sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

from resale.errors import ReadingError
from resale.garments.measures.allowance import Cuff, hem_reach, sleeve_reach, waist_reach
from resale.garments.measures.length import LengthUnit, format_length, parse_length
from resale.services.items.entry import Entry
from resale.web.item_form.form import FLAT


@dataclass(frozen=True)
class FlatMeasure:
    """A length asked for beside a signal, and what both together say."""

    name: str
    example_cm: float
    say: Callable[[Entry, float, LengthUnit], str | None]


def _sleeve(entry: Entry, length: float, unit: LengthUnit) -> str | None:
    cuff = entry.choices.get("cuff_buttons")
    if cuff is None:
        return None
    inside = _typed_mm(entry, "sleeve_inside")
    reach = sleeve_reach(cast("Cuff", cuff), length, None if inside is None else inside / 10)
    return (
        f"Sleeve {format_length(length, unit)}: anything from "
        f"{format_length(float(reach.shortest_cm), unit)} to "
        f"{format_length(float(reach.longest_cm), unit)}. {reach.note}"
    )


def _waist(entry: Entry, length: float, unit: LengthUnit) -> str | None:
    allowance = _typed_mm(entry, "seat_allowance")
    if allowance is None:
        return None
    reach = waist_reach(length, allowance)
    return (
        f"Waist {format_length(float(reach.now_cm), unit)} round: from "
        f"{format_length(float(reach.smallest_cm), unit)} to "
        f"{format_length(float(reach.largest_cm), unit)}. {reach.note}"
    )


def _hem(entry: Entry, length: float, unit: LengthUnit) -> str | None:
    depth = _typed_mm(entry, "hem_depth")
    if depth is None:
        return None
    reach = hem_reach(length, depth / 10)
    return (
        f"Inside leg {format_length(length, unit)}: up to "
        f"{format_length(float(reach.longest_cm), unit)} let down. {reach.note}"
    )


# Beside which signal each length is asked for.
FLAT_MEASURES: dict[str, FlatMeasure] = {
    "cuff_buttons": FlatMeasure("Sleeve length", 62, _sleeve),
    "seat_allowance": FlatMeasure("Waist laid flat", 42, _waist),
    "hem_depth": FlatMeasure("Inside leg", 80, _hem),
}


def still_changeable(entry: Entry, unit: LengthUnit) -> tuple[list[str], dict[str, str]]:
    """Say what can still be changed.

    Parameters
    ----------
    entry : Entry
        With the widths that were typed.
    unit : LengthUnit
        In which lengths are written and read.

    Returns
    -------
    tuple of list of str and dict of str
        Sentences to show, and faults by field name.
    """
    measured, faults = [], {}
    for signal, flat in FLAT_MEASURES.items():
        text = entry.flats.get(signal)
        if not text:
            continue
        try:
            sentence = flat.say(entry, parse_length(text, unit, where=flat.name), unit)
        except ReadingError as fault:
            faults[FLAT + signal] = fault.sentence
            continue
        if sentence:
            measured.append(sentence)
    return measured, faults


def _typed_mm(entry: Entry, signal: str) -> float | None:
    text = entry.typed.get(signal)
    if not text or entry.measured[signal].trouble:
        return None
    bare = text.replace(",", ".").replace(".", "", 1).isdigit()
    return parse_length(f"{text} mm" if bare else text) * 10
