"""What a marked size comes to beside the tape: one comparable size, in sentences for the desk."""

from __future__ import annotations

from collections.abc import Sequence

from resale.garments.sizes.marked import PARIS_POINT_MM, Body, bodies_of, body_by_tape
from resale.garments.sizes.tables import Who, tables
from resale.garments.sizes.taped import body_taped

# A mark of more meanings than this is not spoken of before its land is typed with it.
_MOST = 4


def size_words(
    size: str,
    kind: str,
    who: Who = "either",
    flat_cm: float | None = None,
    tape_cm: float | None = None,
) -> str:
    """Say what a mark and the tape speak of, and warn where they part.

    Parameters
    ----------
    size : str
        As marked.
    kind : str
        Id of the kind.
    who : {'men', 'women', 'either'}
    flat_cm : float or None
        Chest laid flat, from armpit seam to armpit seam (cm), where it was measured.
    tape_cm : float or None
        What the kind's size speaks of, by the tape (`resale.garments.sizes.taped`; cm).

    Returns
    -------
    str
        Empty where neither says anything.

    Examples
    --------
    >>> size_words("UK 12", "dress", "women")
    "UK 12, women's: chest 86 to 90 cm (S)."
    >>> size_words("M", "shirt", "men", 56.0)
    "M, men's: chest 94 to 102 cm (M). By the tape it fits 94 to 104 cm (M)."
    """
    bodies = bodies_of(size, kind, who)
    said = [_mark(bodies)] if bodies else []
    chests = [one for one in bodies if one.part == "chest"]
    if flat_cm is not None and (chests or not bodies):
        low, high = body_by_tape(flat_cm, kind)
        said.append(f"By the tape it fits {_range(low, high)}{_letter((low + high) / 2, who)}.")
        said += _apart(chests, low, high)
    taped = body_taped(tape_cm, kind) if tape_cm is not None else None
    if taped and not (taped.part == "chest" and flat_cm is not None):
        letter = _letter((taped.low + taped.high) / 2, who) if taped.part == "chest" else ""
        said.append(
            f"By the tape it fits a {taped.part} of {_range(taped.low, taped.high)}{letter}"
            f"{_european(tape_cm, taped)}."
        )
        said += _apart([b for b in bodies if b.part == taped.part], taped.low, taped.high)
    return " ".join(said)


def _apart(marked: Sequence[Body], low: float, high: float) -> list[str]:
    """Warn where the tape and every reading of the mark part."""
    if not marked or any(one.low <= high and low <= one.high for one in marked):
        return []
    much = "larger" if low >= max(one.high for one in marked) else "smaller"
    return [
        f"It is {much} than its mark, as many are: go by the tape, and write the measure on the "
        "ticket."
    ]


def _european(tape_cm: float | None, taped: Body) -> str:
    """Give the shoe size of an insole: Paris points of the last."""
    if taped.part != "foot" or not tape_cm:
        return ""
    return f", about EU {round(tape_cm * 10 / PARIS_POINT_MM, 2):g}"


def _mark(bodies: Sequence[Body]) -> str:
    if len(bodies) > _MOST:
        lands = ", ".join(one.read_as for one in bodies)
        return f"It may be {lands}: type the land with it, such as IT 48."
    return " or ".join(_one(one) for one in bodies) + "."


def _one(body: Body) -> str:
    who: Who = "women" if "women" in body.read_as else "men" if "men" in body.read_as else "either"
    letter = _letter((body.low + body.high) / 2, who) if body.part == "chest" else ""
    return f"{body.read_as}: {body.part} {_range(body.low, body.high)}{letter}"


def _range(low: float, high: float) -> str:
    return f"{low:g} cm" if low == high else f"{low:g} to {high:g} cm"


def _letter(girth: float, who: Who) -> str:
    """The letter of a chest girth, which any two marks can be compared by."""
    if who == "either":
        return ""
    ranges = (tables().letters.men if who == "men" else tables().letters.women).items()
    return next((f" ({name})" for name, (low, high) in ranges if low <= girth < high), "")
