"""What was read off a photographed label, put into the fields that stand empty."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resale.garments.label_text.parted import LabelText
from resale.garments.rulebook.gradings import Fibres
from resale.garments.rulebook.rule_book import Kind
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
    for signal in kind.signals:
        if not read.fibres or not isinstance(signal.measure, Fibres):
            continue
        said = measured_as(signal, read.fibres, "", entry.picked)
        if signal.measure.part != SHELL and said.option_id is None:
            continue
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
