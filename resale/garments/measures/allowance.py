"""What a buyer can still have changed: sleeve, waist and hem, and by how much.

The amounts are common practice in alteration work, no source. They say what the cloth allows,
not what it costs; a tailor decides on the garment itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resale.errors import ReadingError
from resale.garments.measures.length import CM_PER_INCH

Floats = float | NDArray[np.float64]
Cuff = Literal["working", "sewn_on", "none"]

# Buttonholes that open fix the cuff: common practice, no source.
WORKING_CUFF_SURE_CM = 0.75 * CM_PER_INCH
WORKING_CUFF_MOST_CM = 1.0 * CM_PER_INCH
# Buttons that are only sewn on can be moved with the hem: common practice, no source.
FREE_CUFF_CM = 2.0 * CM_PER_INCH
# Past this the hip pockets drift together at the back: common practice, no source.
TAKE_IN_CM = 5.0
# A seam needs this much cloth on each side to hold: common practice, no source.
KEEP_SEAM_MM = 10.0
KEEP_HEM_CM = 1.0


@dataclass(frozen=True, slots=True)
class Reach:
    """How short and how long a sleeve or hem can be made.

    Attributes
    ----------
    shortest_cm, longest_cm : float or array
        Length after alteration, what is sure to work.
    shorten_cm, lengthen_cm : float or array
        The same as change, 0 or more.
    at_most_cm : float
        Change either way that may work with luck; the note says when.
    note : str
        One sentence for the screen.
    """

    shortest_cm: Floats
    longest_cm: Floats
    shorten_cm: Floats
    lengthen_cm: Floats
    at_most_cm: float
    note: str


@dataclass(frozen=True, slots=True)
class WaistReach:
    """How small and how large a waist can be made, measured round in centimetres.

    Attributes
    ----------
    now_cm : float or array
        Twice the flat measure.
    smallest_cm, largest_cm : float or array
        After alteration.
    take_in_cm, let_out_cm : float or array
        The same as change, 0 or more.
    note : str
        One sentence for the screen.
    """

    now_cm: Floats
    smallest_cm: Floats
    largest_cm: Floats
    take_in_cm: Floats
    let_out_cm: Floats
    note: str


_CUFF_RULES: dict[str, tuple[float, float, str]] = {
    "working": (
        WORKING_CUFF_SURE_CM,
        WORKING_CUFF_MOST_CM,
        "The cuff buttons open, so the sleeve moves about 3/4 inch, 1 inch at most, before the "
        "buttonholes sit wrong.",
    ),
    "sewn_on": (
        FREE_CUFF_CM,
        FREE_CUFF_CM,
        "The cuff buttons are only sewn on, so the sleeve shortens by about 2 inches.",
    ),
    "none": (
        FREE_CUFF_CM,
        FREE_CUFF_CM,
        "The cuff has no buttons, so the sleeve shortens by about 2 inches.",
    ),
}


def sleeve_reach(cuff: Cuff, sleeve_cm: ArrayLike, turned_up_cm: ArrayLike | None = None) -> Reach:
    """Say how far a jacket sleeve can be shortened and lengthened.

    Parameters
    ----------
    cuff : {'working', 'sewn_on', 'none'}
        Whether the cuff buttons open, are sewn on, or are not there.
    sleeve_cm : float or array
        Sleeve length in centimetres.
    turned_up_cm : float or array, optional
        Cloth turned up inside the cuff, centimetres. If measured, the sleeve cannot be let down
        by more than this less 1 cm; if not, nothing is promised: what is not measured may not be
        there.

    Returns
    -------
    Reach
        Centimetres.

    Raises
    ------
    ReadingError
        If the cuff is not one of the three, or a measure is negative or not a number.

    Notes
    -----
    Common practice, no source: working cuffs 0.75 to 1 inch, sewn-on about 2 inches shorter;
    longer by the cloth inside alone, mostly 1 to 1.5 inches.

    Examples
    --------
    >>> sleeve_reach("sewn_on", 60.0).shortest_cm, sleeve_reach("sewn_on", 60.0).longest_cm
    (54.92, 60.0)
    """
    if cuff not in _CUFF_RULES:
        raise ReadingError(
            f"the cuff {cuff!r} is not known",
            where="cuff",
            remedy=f"use one of {', '.join(_CUFF_RULES)}",
        )
    sure, most, note = _CUFF_RULES[cuff]
    sleeve = _measure(sleeve_cm, "sleeve length")
    shorten = np.minimum(sure, sleeve)
    lengthen = np.zeros_like(sleeve)
    if turned_up_cm is not None:
        inside = _measure(turned_up_cm, "cloth turned up in the cuff")
        lengthen = np.minimum(sure, np.maximum(inside - KEEP_HEM_CM, 0.0))
        most = sure
        note += " The cloth turned up inside sets how far it can be let down."
    else:
        note += " Longer only by the cloth turned up inside: measure it before you promise any."
    return _reach(sleeve, shorten, lengthen, most, note)


def waist_reach(
    waist_flat_cm: ArrayLike,
    seam_allowance_mm: ArrayLike,
    *,
    keep_seam_mm: float = KEEP_SEAM_MM,
    take_in_cm: float = TAKE_IN_CM,
) -> WaistReach:
    """Say how far a waist can be taken in and let out at the centre-back seam.

    let out = 2 * (allowance - kept seam), since the seam has an allowance on each side

    Parameters
    ----------
    waist_flat_cm : float or array
        Waist laid flat, one side to the other, centimetres.
    seam_allowance_mm : float or array
        Cloth beyond the stitching on one side of the centre-back seam, millimetres.
    keep_seam_mm : float, default 10
        Cloth that has to stay on each side, millimetres.
    take_in_cm : float, default 5
        Most that can be taken in, centimetres of round waist, before the pockets drift.

    Returns
    -------
    WaistReach
        Round waist, centimetres.

    Raises
    ------
    ReadingError
        If a measure is negative or not a number.

    Examples
    --------
    >>> reach = waist_reach(40.0, 25.0)
    >>> reach.smallest_cm, reach.now_cm, reach.largest_cm
    (75.0, 80.0, 83.0)
    """
    now = 2.0 * _measure(waist_flat_cm, "waist laid flat")
    allowance = _measure(seam_allowance_mm, "seam allowance")
    keep = _measure(keep_seam_mm, "seam to keep")
    let_out = 2.0 * np.maximum(allowance - keep, 0.0) / 10.0
    take_in = np.minimum(_measure(take_in_cm, "most to take in"), now)
    now, let_out, take_in = np.broadcast_arrays(now, let_out, take_in)
    return WaistReach(
        now_cm=_plain(now),
        smallest_cm=_plain(now - take_in),
        largest_cm=_plain(now + let_out),
        take_in_cm=_plain(take_in),
        let_out_cm=_plain(let_out),
        note="Letting out shows the old stitch line and unfaded cloth on some fabrics: look "
        "inside the seam first.",
    )


def hem_reach(
    length_cm: ArrayLike,
    hem_depth_cm: ArrayLike,
    *,
    turn_up_cm: ArrayLike = 0.0,
    keep_hem_cm: float = KEEP_HEM_CM,
    shorten_cm: float = FREE_CUFF_CM,
) -> Reach:
    """Say how far a hem can be let down and taken up.

    let down = hem depth + 2 * turn-up - kept hem

    Parameters
    ----------
    length_cm : float or array
        Length now: inside leg, skirt or coat, centimetres.
    hem_depth_cm : float or array
        Cloth turned up inside, centimetres.
    turn_up_cm : float or array, default 0
        Height of an outside turn-up, which holds twice its height of cloth, centimetres.
    keep_hem_cm : float, default 1
        Cloth that has to stay for the new hem, centimetres.
    shorten_cm : float, default 5.08
        Most to take up before the shape of the leg or flare is lost, centimetres.

    Returns
    -------
    Reach
        Centimetres.

    Raises
    ------
    ReadingError
        If a measure is negative or not a number.

    Examples
    --------
    >>> hem_reach(78.0, 4.0).lengthen_cm, hem_reach(78.0, 4.0, turn_up_cm=4.0).lengthen_cm
    (3.0, 11.0)
    """
    length = _measure(length_cm, "length")
    spare = _measure(hem_depth_cm, "hem depth") + 2.0 * _measure(turn_up_cm, "turn-up")
    lengthen = np.maximum(spare - _measure(keep_hem_cm, "hem to keep"), 0.0)
    shorten = np.minimum(_measure(shorten_cm, "most to take up"), length)
    note = "The old fold may show as a line after letting down: look at it before promising."
    return _reach(length, shorten, lengthen, shorten_cm, note)


def _reach(
    now: NDArray[np.float64],
    shorten: NDArray[np.float64],
    lengthen: NDArray[np.float64],
    at_most_cm: float,
    note: str,
) -> Reach:
    now, shorten, lengthen = np.broadcast_arrays(now, shorten, lengthen)
    return Reach(
        shortest_cm=_plain(now - shorten),
        longest_cm=_plain(now + lengthen),
        shorten_cm=_plain(shorten),
        lengthen_cm=_plain(lengthen),
        at_most_cm=at_most_cm,
        note=note,
    )


def _measure(value: ArrayLike, name: str) -> NDArray[np.float64]:
    try:
        measured = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise ReadingError(
            "the measure is not a number", where=name, remedy="measure it again"
        ) from None
    if not (np.isfinite(measured).all() and (measured >= 0).all()):
        raise ReadingError(
            "the measure is negative or not a number",
            where=name,
            remedy="measure it again, or leave it as not looked at",
        )
    return measured


def _plain(values: NDArray[np.float64]) -> Floats:
    return float(values) if values.ndim == 0 else values
