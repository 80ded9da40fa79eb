"""From an item as sent to the entry that the Bench would have: the same words, the same faults."""

from __future__ import annotations

from collections.abc import Mapping

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.unsorted import unsorted_kind
from resale.safety.looks import shipped_looks
from resale.services.items.by_hand import ByHand, faults_of
from resale.services.items.entry import Entry
from resale.services.items.entry import entry_of as made
from resale.storage.imports.cells.item_cells import (
    NOT_LOOKED,
    folded,
    is_unsorted,
    named_option,
    read_kind,
    read_option,
)
from resale.web.api.pointers import pointer
from resale.web.api.requests import ItemSent
from resale.web.core.problems import ApiError, Fault


def entry_of(book: RuleBook, sent: ItemSent, key: str = "", number: str = "") -> Entry:
    """Read an item as a file's row is read, into what the Bench's form would say.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    sent : ItemSent
        The item as the device sent it.
    key : str, optional
        Under which it is saved once, however often it is sent.
    number : str, optional
        Of an item that is valued anew; empty for a new one.

    Raises
    ------
    ApiError
        With a fault for each field that cannot be.
    """
    by_hand = _by_hand(sent)
    try:
        named = None if by_hand else tuple(book.kinds.values())[read_kind(sent.kind, book)]
        kind = named or unsorted_kind()
    except ReadingError as fault:
        raise _bad([_fault(fault, "kind")]) from None
    picked, typed, faults = _readings(kind, sent.readings)
    if faults:
        raise _bad(faults)
    looks = _looks(sent.looks)
    return made(
        kind,
        picked,
        typed,
        key=key,
        number=number,
        label=sent.label,
        size=sent.size,
        tape=sent.tape,
        care=sent.care,
        note=sent.note,
        looks=looks,
        by_hand=by_hand,
    )


def _by_hand(sent: ItemSent) -> ByHand | None:
    """Read what stands in the place of a kind; None for what has one."""
    said = ByHand(" ".join(sent.what.split()), sent.price_minor or 0, sent.price_reason.strip())
    if not is_unsorted(sent.kind):
        if said != ByHand():
            fault = ReadingError(
                "what, price_minor and price_reason are for things without a kind",
                remedy="leave them out, or send the kind unsorted",
            )
            raise _bad([_fault(fault, "kind")])
        return None
    names = {"what": "what", "price": "price_minor", "why": "price_reason"}
    faults = [
        _fault(ReadingError(text.rstrip("."), remedy="send it too"), names[part])
        for part, text in faults_of(said).items()
    ]
    if faults:
        raise _bad(faults)
    return said


def _looks(sent: Mapping[str, str]) -> dict[str, str]:
    """Check answers to what is asked before a ticket."""
    looks, faults, known = shipped_looks().by_id, [], {}
    for name, answer in sent.items():
        if name not in looks:
            fault = ReadingError(
                f"there is no look {name[:40]!r}", remedy=f"use one of {', '.join(looks)}"
            )
            faults.append(_fault(fault, "looks", name))
        elif folded(answer) in NOT_LOOKED:
            continue
        elif answer not in looks[name].answer_ids:
            answers = ", ".join(looks[name].answer_ids)
            fault = ReadingError(
                f"{answer[:40]!r} is no answer to {name}", remedy=f"use one of {answers}"
            )
            faults.append(_fault(fault, "looks", name))
        else:
            known[name] = answer
    if faults:
        raise _bad(faults)
    return known


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
