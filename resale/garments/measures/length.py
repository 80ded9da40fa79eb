"""Lengths as people write them: 12 cm, 4 3/4 in, 4.75", 120 mm."""

from __future__ import annotations

import math
import re
import unicodedata
from fractions import Fraction
from typing import Literal

from resale.errors import ReadingError

LengthUnit = Literal["cm", "in"]

MM_PER_INCH = 25.4
CM_PER_INCH = 2.54

# Nothing on a rail is longer than a wedding train of ten metres.
_LONGEST_MM = 10_000.0
_UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH}
_UNIT_WORDS = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    "zoll": "in",
    "pouce": "in",
    "pouces": "in",
    '"': "in",
    "''": "in",
    "″": "in",
    "”": "in",
}
_LENGTH = re.compile(
    r"(?P<whole>\d{1,6}(?:[.,]\d{1,4})?)?"
    r"(?:(?:(?<=\d)(?:\s+|\s?-\s?))?(?P<top>\d{1,3})\s*[/⁄]\s*(?P<bottom>\d{1,3}))?"
    r"\s*(?P<unit>[a-z]+\.?|\"|''|″|”)?"
)
_REMEDY = "write it like 12 cm, 12.5 cm, 4 3/4 in or 4.75 in"


def parse_length(text: str, unit: LengthUnit = "cm", *, where: str = "") -> float:
    """Read a length.

    Parameters
    ----------
    text : str
        Number, with a decimal point or comma, or inches with a fraction; unit mm, cm, m or in.
    unit : {'cm', 'in'}, default 'cm'
        Taken where the text names none.
    where : str
        Field or cell, for the error.

    Returns
    -------
    float
        Centimetres, 0 or more.

    Raises
    ------
    ReadingError
        If the text is not a length, or is over 10 m.

    Examples
    --------
    >>> parse_length('4 3/4 in'), parse_length("120 mm"), parse_length("12,5")
    (12.065, 12.0, 12.5)
    """
    # NFKC writes 4¾ as 43⁄4, so a space goes in before the fraction first.
    spaced = re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞])", " ", text)
    clean = unicodedata.normalize("NFKC", spaced.replace("″", '"').replace("”", '"'))
    found = _LENGTH.fullmatch(clean.strip().lower())
    if found is None or not (found["whole"] or found["top"]):
        raise ReadingError(f"{text[:40]!r} is not a length", where=where, remedy=_REMEDY)
    word = (found["unit"] or unit).rstrip(".")
    if word not in _UNIT_WORDS:
        raise ReadingError(f"the unit {word[:20]!r} is not known", where=where, remedy=_REMEDY)
    mm = _number(found, text, where) * _UNIT_MM[_UNIT_WORDS[word]]
    if mm > _LONGEST_MM:
        raise ReadingError(f"{text[:40]!r} is over 10 m", where=where, remedy="look at the unit")
    return round(mm / 10, 6)


def _number(found: re.Match[str], text: str, where: str) -> float:
    number = float((found["whole"] or "0").replace(",", "."))
    if found["top"] is None:
        return number
    if int(found["bottom"]) == 0 or not number.is_integer():
        raise ReadingError(f"{text[:40]!r} is not a length", where=where, remedy=_REMEDY)
    return number + int(found["top"]) / int(found["bottom"])


def format_length(length_cm: float, unit: LengthUnit = "cm", *, decimal: str = ".") -> str:
    """Write a length in the shop's unit.

    Parameters
    ----------
    length_cm : float
        Centimetres.
    unit : {'cm', 'in'}, default 'cm'
        Centimetres to one decimal, or inches to the nearest eighth, as tapes are marked.
    decimal : str, default '.'
        Decimal sign for centimetres.

    Raises
    ------
    ReadingError
        If the length is not a number.

    Examples
    --------
    >>> format_length(12.065, "in"), format_length(12.5, decimal=",")
    ('4 3/4 in', '12,5 cm')
    """
    if not math.isfinite(length_cm):
        raise ReadingError("the length is not a number", remedy="measure it again")
    if unit == "cm":
        # Adding 0.0 turns minus nought into nought.
        shown = f"{round(length_cm, 1) + 0.0:.1f}".removesuffix(".0")
        return f"{shown.replace('.', decimal)} cm"
    eighths = round(abs(length_cm) / CM_PER_INCH * 8)
    whole, rest = divmod(eighths, 8)
    part = str(Fraction(rest, 8)) if rest else ""
    sign = "-" if length_cm < 0 and eighths else ""
    return f"{sign}{' '.join(filter(None, [str(whole) if whole or not rest else '', part]))} in"
