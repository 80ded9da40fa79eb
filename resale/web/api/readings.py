"""From an item as sent to the entry that the Bench would have: the same words, the same faults."""

from __future__ import annotations

from collections.abc import Mapping

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind, RuleBook
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
