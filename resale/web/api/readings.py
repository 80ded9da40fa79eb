"""From an item as sent to the entry that the Bench would have: the same words, the same faults."""

from __future__ import annotations

from collections.abc import Mapping

from resale.errors import ReadingError
from resale.garments.fibres.content import FibreLabel
from resale.garments.fibres.reader import read_fibre_label
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Fibres
from resale.safety.holds import Hold, holds_for, shipped_holds
from resale.services.items.entry import Entry
from resale.services.items.entry import entry_of as made
from resale.storage.imports.item_cells import (
    NOT_LOOKED,
    folded,
    named_option,
    read_kind,
    read_option,
)
from resale.web.api.pointers import pointer
from resale.web.api.problems import ApiError, Fault
from resale.web.api.requests import ItemSent


def entry_of(book: RuleBook, sent: ItemSent, key: str = "", number: str = "") -> Entry:
    """Read an item as a file's row is read, into what the Bench's form would say.

    Raises
    ------
    ApiError
        With a fault for each field that cannot be.
    """
    try:
        kind = tuple(book.kinds.values())[read_kind(sent.kind, book)]
    except ReadingError as fault:
        raise _bad([_fault(fault, "kind")]) from None
    picked, typed, faults = _readings(kind, sent.readings)
    if faults:
        raise _bad(faults)
    line = {"label": sent.label, "size": sent.size, "note": sent.note}
    return made(kind, picked, typed, key=key, number=number, **line)


def holds_of(book: RuleBook, entry: Entry) -> tuple[Hold, ...]:
    """Holds that an entry raises by itself, its fibre labels read for what needs a licence."""
    readings = one_reading(book, entry.kind, entry.choices, entry.label)
    kind = book.kinds[entry.kind]
    labels: list[FibreLabel | None] = [
        read_fibre_label(text)
        for signal, text in entry.typed.items()
        if isinstance(kind.by_id[signal].measure, Fibres)
    ]
    raised = {
        hold.id for label in labels or [None] for hold in holds_for(book, readings, label=label)
    }
    return tuple(hold for hold in shipped_holds().values() if hold.id in raised)


def _readings(
    kind: Kind, readings: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str], list[Fault]]:
    """Part readings into options picked and measures as a sorter writes them."""
    picked: dict[str, str] = {}
    typed: dict[str, str] = {}
    faults = []
    for signal_id, text in readings.items():
        if folded(text) in NOT_LOOKED:
            continue
        try:
            place = read_option(text, kind, signal_id)
        except ReadingError as fault:
            faults.append(_fault(fault, "readings", signal_id))
            continue
        signal = kind.by_id[signal_id]
        if named_option(text, signal) is None:
            typed[signal_id] = text
        else:
            picked[signal_id] = signal.option_ids[place]
    return picked, typed, faults


def _fault(fault: ReadingError, *steps: str) -> Fault:
    where = f"{fault.where}: " if fault.where else ""
    return Fault(pointer=pointer(*steps), detail=f"{where}{fault.what}", remedy=fault.remedy)


def _bad(faults: list[Fault]) -> ApiError:
    return ApiError("bad-fields", "the item cannot be read as it is", faults=faults)
