"""Stitch density from a count of stitches over a gauge: a ruler, a coin of tape, a folded note."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resale.errors import ReadingError
from resale.garments.measures.length import MM_PER_INCH, parse_length

Floats = float | NDArray[np.float64]

MOST_PER_INCH = 60.0
"""Above this a count is a slip: no sewing machine on clothing sets stitches so close."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """A known length to count stitches over.

    Attributes
    ----------
    id, name : str
        Name in the data and on screen.
    length_mm : float
        Millimetres.
    note : str
        Where the length comes from.
    """

    id: str
    name: str
    length_mm: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Density:
    """Stitch density, scalar or array like the count.

    Attributes
    ----------
    per_inch, per_cm : float or array
        Stitches to the inch and to the centimetre.
    mm_per_stitch : float or array
        Stitch length in millimetres.
    error_per_inch : float
        Half width in stitches per inch of a count that may be one stitch off.
    """

    per_inch: Floats
    per_cm: Floats
    mm_per_stitch: Floats
    error_per_inch: float


def _gauges() -> dict[str, Gauge]:
    inch = MM_PER_INCH
    table = (
        Gauge("inch", "ruler, 1 inch", inch),
        Gauge("three_inch", "ruler, 3 inches", 3 * inch, "smallest error of count"),
        Gauge(
            "folded_note",
            "banknote folded in half, nominal 1.25 inch",
            1.25 * inch,
            "the usual pocket gauge; common practice, no source",
        ),
        Gauge(
            "folded_us_note",
            "US banknote folded in half, 1.305 inch",
            2.61 / 2 * inch,
            "half of the published note height of 2.61 inch (height from memory)",
        ),
        Gauge("cm", "ruler, 1 cm", 10.0),
        Gauge("three_cm", "ruler, 3 cm", 30.0),
        Gauge("five_cm", "ruler, 5 cm", 50.0),
    )
    return {gauge.id: gauge for gauge in table}


GAUGES: Mapping[str, Gauge] = MappingProxyType(_gauges())


def custom_gauge(length_mm: float) -> Gauge:
    """Make a gauge of any length; one of the table where the length is the same.

    Parameters
    ----------
    length_mm : float
        Millimetres, 1 to 1000.

    Raises
    ------
    ReadingError
        If the length is outside that range.
    """
    if not (np.isfinite(length_mm) and 1 <= length_mm <= 1000):
        raise ReadingError(
            f"a gauge of {length_mm:g} mm cannot be used",
            remedy="count over 1 mm to 1 m, best over 3 inches or 5 cm",
        )
    for gauge in GAUGES.values():
        if abs(gauge.length_mm - length_mm) < 0.005:
            return gauge
    return Gauge("custom", f"{length_mm:g} mm", float(length_mm), "length given by the shop")


def density(count: ArrayLike, gauge: Gauge) -> Density:
    """Turn a count over a gauge into a stitch density.

    per_inch = 25.4 * count / length_mm

    Parameters
    ----------
    count : float or array
        Stitches counted over the gauge, more than 0; halves are welcome.
    gauge : Gauge
        What they were counted over.

    Returns
    -------
    Density
        Of the same shape as the count.

    Raises
    ------
    ReadingError
        If a count is not a number, not above 0, or gives more than 60 stitches per inch.

    Examples
    --------
    >>> density(10, GAUGES["folded_note"]).per_inch
    8.0
    >>> round(density(10, GAUGES["folded_us_note"]).per_inch, 3)
    7.663
    """
    counts = _checked(count, gauge)
    per_inch = counts * MM_PER_INCH / gauge.length_mm
    return Density(
        per_inch=_like(count, per_inch),
        per_cm=_like(count, counts * 10.0 / gauge.length_mm),
        mm_per_stitch=_like(count, gauge.length_mm / counts),
        error_per_inch=MM_PER_INCH / gauge.length_mm,
    )


def _like(count: ArrayLike, values: NDArray[np.float64]) -> Floats:
    return float(values) if np.ndim(count) == 0 else values


def _checked(count: ArrayLike, gauge: Gauge) -> NDArray[np.float64]:
    try:
        counts = np.asarray(count, dtype=np.float64)
    except (TypeError, ValueError, OverflowError):
        raise ReadingError(
            "the stitch count is not a number", remedy="type how many stitches were counted"
        ) from None
    faults = (
        (~np.isfinite(counts), "is not a number", "leave out what was not counted"),
        (counts <= 0, "is not above 0", "count again, or leave it as not looked at"),
        (
            counts * MM_PER_INCH > MOST_PER_INCH * gauge.length_mm,
            f"over {gauge.name} is more than {MOST_PER_INCH:g} to the inch",
            "look at the gauge, and count one row of stitches only",
        ),
    )
    for bad, fault, remedy in faults:
        if bad.any():
            place = int(np.flatnonzero(bad)[0])
            where = f"count {place + 1}" if counts.ndim else ""
            worst = counts.reshape(-1)[place]
            raise ReadingError(f"the stitch count {worst:g} {fault}", where=where, remedy=remedy)
    return counts


# ---------------------------------------------------------------- counts as typed
_COUNT = re.compile(
    r"(?P<count>\d{1,4}(?:[.,]\d{1,3})?)\s*(?:stitches|sts|st|stiche|points)?\.?\s*"
    r"(?:(?P<spi>spi|s\.p\.i\.?)|(?:(?P<link>per|pro|je|par|in|over|on|auf|sur|/|@)\s*(?P<length>.+)))?"
)
_COUNT_REMEDY = "write it like 12, 12 in 1.25 in, 12/3 cm, 9.5 per inch, 10 spi or 4 per cm"


def parse_count(
    text: str, gauge: Gauge = GAUGES["inch"], *, where: str = ""
) -> tuple[float, Gauge]:
    """Read a stitch count with its gauge, as typed in a cell.

    Parameters
    ----------
    text : str
        ``12``, ``12 in 1.25 in``, ``12/3cm``, ``9.5 per inch``, ``10 spi``, ``4 per cm``.
    gauge : Gauge, default one inch
        Taken where the text names none: the shop's own gauge.
    where : str
        Field or cell, for the error.

    Returns
    -------
    tuple of float and Gauge
        Ready for `density`.

    Raises
    ------
    ReadingError
        If the text is not a count, or the count cannot be.

    Examples
    --------
    >>> count, over = parse_count("12 in 1.25 in")
    >>> count, over.id
    (12.0, 'folded_note')
    """
    found = _COUNT.fullmatch(text.strip().lower())
    if found is None:
        raise ReadingError(
            f"{text[:40]!r} is not a stitch count", where=where, remedy=_COUNT_REMEDY
        )
    count = float(found["count"].replace(",", "."))
    over = gauge
    if found["spi"]:
        over = GAUGES["inch"]
    elif found["length"]:
        over = _gauge_from_text(found["length"].strip(), where)
    try:
        _checked(count, over)
    except ReadingError as fault:
        raise ReadingError(fault.what, where=where, remedy=fault.remedy) from None
    return count, over


def _gauge_from_text(text: str, where: str) -> Gauge:
    # 'per inch' means per one inch; a bare number would leave the unit open.
    if not re.search(r"[a-z\"'″”]", text):
        raise ReadingError(
            f"the gauge {text[:20]!r} has no unit", where=where, remedy=_COUNT_REMEDY
        )
    length = text if re.match(r"[\d¼-¾⅐-⅞]", text) else f"1 {text}"
    try:
        return custom_gauge(parse_length(length) * 10)
    except ReadingError as fault:
        raise ReadingError(fault.what, where=where, remedy=_COUNT_REMEDY) from None
