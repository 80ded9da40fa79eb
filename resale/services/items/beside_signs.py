"""What the lines beside the signs come to: the size by mark and tape, and the care for the buyer.

The Bench, the item's page, its ticket and a device ask here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from resale.errors import ReadingError
from resale.garments.care.cautions import buyer_cautions, desk_questions, label_of, ticket_words
from resale.garments.care.reader import CareLabel
from resale.garments.fibres.reader import read_fibre_label
from resale.garments.measures.length import parse_length
from resale.garments.sizes.compared import size_words
from resale.garments.sizes.tables import Who
from resale.garments.sizes.taped import body_taped

# Answers that say of how many parts one thing is, in as few words as a ticket has room for.
_PARTS = {
    ("set_parts", "pair"): "two parts, sold together",
    ("set_parts", "set"): "a set, sold together",
    ("set_whole", "two_piece"): "two pieces, sold together",
    ("set_whole", "three_piece"): "three pieces, sold together",
}
_RAIL, _CHEST, _CARE, _FIBRES = "department", "chest_flat", "care_label", "fibre_shell"


def said_of_size(inputs: Mapping[str, Any]) -> str:
    """Give the sentences on the size; empty where nothing can be said.

    Parameters
    ----------
    inputs : mapping
        Of an item, as they are stored with its valuation.
    """
    who: Who = "either"
    if (picked := inputs.get("choices", {}).get(_RAIL)) in {"men", "women"}:
        who = "men" if picked == "men" else "women"
    chest = _length(inputs.get("typed", {}).get(_CHEST, ""))
    return size_words(_size(inputs), _kind(inputs), who, chest, _length(inputs.get("tape", "")))


def tape_fault(inputs: Mapping[str, Any]) -> str:
    """Say what is wrong with what was typed for the tape; empty where nothing is."""
    text = str(inputs.get("tape", ""))
    if not text.strip():
        return ""
    try:
        parse_length(text)
    except ReadingError as fault:
        return f"Tape: {fault}."
    return ""


def said_of_care(inputs: Mapping[str, Any]) -> tuple[str, ...]:
    """Give what the buyer should be told of the care, a sentence each.

    Parameters
    ----------
    inputs : mapping
        As for `said_of_size`.
    """
    return buyer_cautions(_care(inputs))


def asked_of_care(inputs: Mapping[str, Any]) -> tuple[str, ...]:
    """Give what is odd about the care label: for the desk, and not for the buyer.

    Parameters
    ----------
    inputs : mapping
        As for `said_of_size`.
    """
    typed = inputs.get("typed", {}).get(_FIBRES, "")
    read = read_fibre_label(typed) if typed.strip() else None
    fibres = [name for name, _ in read.main.fibres] if read and read.main else []
    return desk_questions(_care(inputs), inputs.get("choices", {}).get(_CARE, ""), fibres)


def ticket_lines(inputs: Mapping[str, Any]) -> tuple[str, ...]:
    """Give what a ticket says beside size and price: of how many parts, what it fits, the care.

    Parameters
    ----------
    inputs : mapping
        As for `said_of_size`.
    """
    cm = _length(inputs.get("tape", ""))
    body = body_taped(cm, _kind(inputs)) if cm is not None else None
    fits = f"{body.part} {body.low:g}–{body.high:g} cm" if body else ""
    return tuple(line for line in (_together(inputs), fits, ticket_words(_care(inputs))) if line)


def _together(inputs: Mapping[str, Any]) -> str:
    """Say that a thing has several parts, so that the rail does not part them; else nothing."""
    picked = inputs.get("choices", {})
    return next((_PARTS[one] for one in picked.items() if one in _PARTS), "")


def _care(inputs: Mapping[str, Any]) -> CareLabel:
    return label_of(str(inputs.get("care", "")), inputs.get("choices", {}).get(_CARE, ""))


def _size(inputs: Mapping[str, Any]) -> str:
    return str(inputs.get("size", ""))


def _kind(inputs: Mapping[str, Any]) -> str:
    return str(inputs.get("kind", ""))


def _length(typed: str) -> float | None:
    try:
        return parse_length(typed) if typed.strip() else None
    except ReadingError:
        return None
