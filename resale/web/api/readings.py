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
from resale.web.bench.form import OPTION, TYPED, Entry, entry_from_form


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
    fields, faults = _fields(kind, sent.readings)
    if faults:
        raise _bad(faults)
    line = {"label": sent.label, "size": sent.size, "note": sent.note}
    return entry_from_form(kind, {**fields, **line, "key": key, "number": number})


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


def _fields(kind: Kind, readings: Mapping[str, str]) -> tuple[dict[str, str], list[Fault]]:
    """Give readings as form fields: the id of an option, or a measure as a sorter writes it."""
    fields, faults = {}, []
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
            fields[TYPED + signal_id] = text
        else:
            fields[OPTION + signal_id] = signal.option_ids[place]
    return fields, faults


def _fault(fault: ReadingError, *steps: str) -> Fault:
    where = f"{fault.where}: " if fault.where else ""
    return Fault(pointer=pointer(*steps), detail=f"{where}{fault.what}", remedy=fault.remedy)


def _bad(faults: list[Fault]) -> ApiError:
    return ApiError("bad-fields", "the item cannot be read as it is", faults=faults)
