"""What a measure by the tape says of the body: waist laid flat, collar opened, insole, inner band.

EN 13402-1: a size names a body, so the room that a thing leaves around it is taken off; how much is
in ``sizes.toml`` with its status.
"""

from __future__ import annotations

from resale.garments.sizes.marked import Body, Girth
from resale.garments.sizes.tables import Tape, tables

# A measure that would fit nobody is a slip: centimetres of body, least and most.
_BODIES: dict[str, tuple[float, float]] = {
    "chest": (40, 180),
    "waist": (40, 180),
    "neck": (22, 60),
    "foot": (8, 36),
    "head": (35, 70),
    "strap": (40, 180),
}


def part_taped(kind: str) -> Girth | None:
    """Give the part of the body that the tape speaks of in a kind; None where it speaks of none.

    Examples
    --------
    >>> part_taped("trousers"), part_taped("shirt"), part_taped("shoes"), part_taped("bag")
    ('waist', 'neck', 'foot', None)
    """
    speaks_of = tables().speaks_of.get(kind, "chest").split(" or ")[-1]
    return next((part for part in _parts() if part == speaks_of), None)


def tape_of(kind: str) -> Tape | None:
    """Say where the tape lies in a kind, and what is reckoned with its measure."""
    part = part_taped(kind)
    return tables().tape.of[part] if part else None


def body_taped(cm: float, kind: str) -> Body | None:
    """Give the body that a measure fits; None where it would fit nobody, or the tape is not used.

    Parameters
    ----------
    cm : float
        As measured (cm).
    kind : str
        Id of the kind.

    Examples
    --------
    >>> body_taped(42, "trousers")
    Body(part='waist', low=81, high=84, read_as='the tape')
    """
    part, tape = part_taped(kind), tape_of(kind)
    if part is None or tape is None:
        return None
    least, most = tape.room if part != "chest" else tables().ease_of(kind)
    low, high = round(tape.times * cm - most, 1), round(tape.times * cm - least, 1)
    lowest, highest = _BODIES[part]
    return Body(part, low, high, "the tape") if lowest <= low and high <= highest else None


def _parts() -> tuple[Girth, ...]:
    return ("chest", "waist", "neck", "foot", "head", "strap")
