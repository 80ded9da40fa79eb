"""What was read off a photographed label, put into the fields that stand empty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from resale.garments.label_text.parted import LabelText
from resale.garments.rulebook.gradings import Fibres
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal
from resale.services.items.entry import Entry, finished
from resale.services.items.measured import measured_as

SHELL = "shell"


@dataclass(frozen=True)
class Filled:
    """An entry with what a label says in it.

    Attributes
    ----------
    fields : tuple of str
        Names of the fields that were filled.
    left : tuple of str
        Names of those that had words already and were left as they were.
    """

    entry: Entry
    fields: tuple[str, ...]
    left: tuple[str, ...]


def is_main_label(signal: Signal) -> bool:
    """Whether a question is the one where the words of a fibre label are typed."""
    return isinstance(signal.measure, Fibres) and signal.measure.part == SHELL


def asked_of(kind: Kind, text: str) -> tuple[Signal, ...]:
    """Questions that the words of a fibre label answer, that on the outer cloth always among them.

    Parameters
    ----------
    kind : Kind
    text : str
        Of the whole label; empty for none.
    """
    return tuple(
        signal
        for signal in kind.signals
        if text
        and isinstance(signal.measure, Fibres)
        and (is_main_label(signal) or measured_as(signal, text, "", {}).option_id)
    )


def main_label(kind: Kind, typed: Mapping[str, str]) -> str:
    """What was typed for the outer cloth; empty where nothing was, or it is not asked.

    Parameters
    ----------
    kind : Kind
    typed : mapping of signal id to str
    """
    return next((typed[s.id] for s in kind.signals if is_main_label(s) and s.id in typed), "")


def parts_left_open(kind: Kind, entry: Entry) -> tuple[Signal, ...]:
    """Questions on other parts that the label typed for the outer cloth answers too, still open.

    Parameters
    ----------
    kind : Kind
    entry : Entry
    """
    asked = asked_of(kind, main_label(kind, entry.typed))
    return tuple(one for one in asked if one.id not in {**entry.picked, **entry.typed})


def filled_from_label(kind: Kind, entry: Entry, read: LabelText) -> Filled:
    """Put what was read into empty fields; what somebody typed or picked stays.

    The words of the fibres go to the question on the outer cloth, with whatever it then asks, and
    to those on lining and filling where the label names that part.

    Parameters
    ----------
    kind : Kind
    entry : Entry
        As it stands on the bench.
    read : LabelText

    Returns
    -------
    Filled
    """
    typed, filled, left = dict(entry.typed), [], []
    for signal in asked_of(kind, read.fibres):
        if entry.typed.get(signal.id) or entry.picked.get(signal.id):
            left.append(signal.name)
        else:
            typed[signal.id] = read.fibres
            filled.append(signal.name)
    care = entry.care
    if read.care and not care:
        care = read.care
        filled.append("Care label says")
    elif read.care:
        left.append("Care label says")
    whole = finished(kind, replace(entry, typed=typed, care=care))
    return Filled(whole, tuple(filled), tuple(left))
