"""Marked sizes as they stand on labels: letters, numbers of several lands, collars, shoes, hats.

References
----------
EN 13402-1 and -3 (a size names a body; letters, from memory). Shoes: Paris point 2/3 cm, barleycorn
1/3 in, ISO 9407 for the foot in millimetres. Every table with its status in ``sizes.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from typing import Literal

from resale.garments.measures.length import CM_PER_INCH, MM_PER_INCH
from resale.garments.sizes.tables import Range, Who, tables

PARIS_POINT_MM = 20 / 3
BARLEYCORN_MM = MM_PER_INCH / 3
FRENCH_INCH_CM = 2.707
"""The inch of glovers (cm): a trade unit, from memory."""

Girth = Literal["chest", "waist", "neck", "foot", "head", "hand", "height", "inside leg", "strap"]
_LETTER = re.compile(r"(?<![a-z0-9])(3xl|xxxl|xxl|2xl|xl|xs|s|m|l)(?![a-z0-9])")
_NUMBER = re.compile(
    r"(?:(?<![a-z])(?P<land>[a-z]{1,3})[\s.:]*)?(?P<whole>\d{1,3})(?:[.,](?P<tenths>\d)|\s*(?P<half>½)"
    r"|\s+(?P<top>\d)\s*/\s*(?P<bottom>\d))?\s*(?P<unit>cm|mm|in\b|\"|″)?(?![a-z])"
)
_SAME = {"xxxl": "3xl", "2xl": "xxl"}


@dataclass(frozen=True, slots=True)
class Body:
    """A girth or length of a body that a mark speaks of.

    Attributes
    ----------
    part : str
        ``chest``, ``waist``, ``neck``, ``foot`` ...
    low, high : float
        Centimetres.
    read_as : str
        How the mark was read, such as ``UK 12`` or ``M, women's``.
    """

    part: Girth
    low: float
    high: float
    read_as: str


def bodies_of(text: str, kind: str, who: Who = "either") -> tuple[Body, ...]:
    """Give what a marked size says of the body; several where the mark has several meanings.

    Parameters
    ----------
    text : str
        The size as marked: ``M``, ``IT 50``, ``15 1/2``, ``W32 L34``, ``UK 9``, ``270``.
    kind : str
        Id of the kind: a number speaks of feet on shoes and of heads on hats.
    who : {'men', 'women', 'either'}
        Whose rail it is for, where that was seen.

    Returns
    -------
    tuple of Body
        Empty where the mark cannot be read, or the kind has no size of a body.

    Examples
    --------
    >>> bodies_of("41.5", "shoes")
    (Body(part='foot', low=25.7, high=26.7, read_as='EU 41.5'),)
    >>> [(one.part, one.low, one.high) for one in bodies_of("W32 L34", "trousers")]
    [('waist', 81.3, 83.8), ('inside leg', 86.4, 86.4)]
    """
    speaks_of = tables().speaks_of.get(kind, "chest")
    folded = text.casefold().strip()
    if not speaks_of or not folded:
        return ()
    readers = {"foot": _feet, "head": _heads, "hand": _hands, "height": _heights, "strap": _straps}
    if speaks_of in readers:
        return tuple(readers[speaks_of](folded, who))
    if kind in {"trousers", "skirt"} and (jeans := tuple(_jeans(folded))):
        return jeans
    if letter := _LETTER.search(folded):
        return tuple(_letters(_SAME.get(letter[1], letter[1]).upper(), speaks_of, who))
    return tuple(_numbers(folded, speaks_of, who))


def _whom(who: Who) -> tuple[Who, ...]:
    return (who,) if who != "either" else ("women", "men")


def _letters(letter: str, speaks_of: str, who: Who) -> Iterator[Body]:
    by_whom = tables().letter_waists if speaks_of == "waist" else tables().letters
    part: Girth = "waist" if speaks_of == "waist" else "chest"
    for one in _whom(who):
        low, high = by_whom.of(one, letter)
        yield Body(part, low, high, f"{letter}, {one}'s")


def _value(found: re.Match[str]) -> float:
    value = float(found["whole"])
    if found["tenths"]:
        value += int(found["tenths"]) / 10
    if found["half"]:
        value += 0.5
    if found["top"] and int(found["bottom"]):
        value += int(found["top"]) / int(found["bottom"])
    return value


def _each(text: str) -> Iterator[tuple[str, float, str]]:
    """Land, number and unit of each number that is marked."""
    for found in _NUMBER.finditer(text):
        yield tables().land_of(found["land"] or ""), _value(found), found["unit"] or ""


def _jeans(text: str) -> Iterator[Body]:
    found = re.search(r"\bw?\s*(\d{2})\s*(?:[/x]|\s*l)\s*l?\s*(\d{2})\b", text)
    if found and 22 <= int(found[1]) <= 54 and 24 <= int(found[2]) <= 40:
        waist, leg = (round(int(one) * CM_PER_INCH, 1) for one in found.groups())
        yield Body("waist", waist, round(waist + CM_PER_INCH, 1), f"waist {found[1]} in")
        yield Body("inside leg", leg, leg, f"leg {found[2]} in")


def _numbers(text: str, speaks_of: str, who: Who) -> Iterator[Body]:
    for land, value, unit in _each(text):
        if "neck" in speaks_of and (collar := _collar(value, unit, land)):
            yield collar
        elif speaks_of == "waist" and who != "women" and not land and 24 <= value <= 42:
            yield Body("waist", *_around(value * CM_PER_INCH, 1.3), f"waist {value:g} in")
        else:
            yield from _by_land(land, value, speaks_of, who)


def _collar(value: float, unit: str, land: str) -> Body | None:
    if land or not (unit or 13 <= value <= 19.5 or 35 <= value <= 48):
        return None
    if value <= 19.5:
        return Body("neck", *_around(value * CM_PER_INCH, 0.5), f"collar {value:g} in")
    return Body("neck", value - 0.5, value + 0.5, f"collar {value:g} cm")


def _by_land(land: str, value: float, speaks_of: str, who: Who) -> Iterator[Body]:
    if who != "men":
        yield from _women(land, value, speaks_of)
    if who != "women":
        yield from _men(land, value, speaks_of)


def _women(land: str, value: float, speaks_of: str) -> Iterator[Body]:
    known = tables().women_numbers
    lands = [land] if land else ["DE", "FR", "IT"] if value >= known.least else ["UK", "US"]
    for one in lands:
        german = value - known.above[one]
        if known.least <= german <= known.most:
            bust = 2 * (german + 6)
            less = 16 if speaks_of == "waist" else 0
            part: Girth = "waist" if less else "chest"
            yield Body(part, bust - less - 2, bust - less + 2, f"{one} {value:g}, women's")


def _men(land: str, value: float, speaks_of: str) -> Iterator[Body]:
    known = tables().men_numbers
    less = 12 if speaks_of == "waist" else 0
    part: Girth = "waist" if less else "chest"
    if land not in {"UK", "US", "JP"} and known.least <= value <= known.most:
        yield Body(part, 2 * value - less - 2, 2 * value - less + 2, f"EU {value:g}, men's")
    if land in {"", "UK", "US"} and not less and 34 <= value <= 56:
        low, high = _around(value * CM_PER_INCH, 1.3)
        yield Body("chest", low, high, f"chest {value:g} in, men's")


def _around(middle: float, by: float) -> tuple[float, float]:
    return round(middle - by, 1), round(middle + by, 1)


def _feet(text: str, who: Who) -> Iterator[Body]:
    for land, value, _ in _each(text):
        if not land and 200 <= value <= 330:
            yield Body("foot", value / 10, value / 10, f"Mondopoint {value:g}")
        elif land in {"", "EU", "FR", "DE", "IT", "ES", "NL", "SE"} and 15 <= value <= 52:
            yield _foot(value * PARIS_POINT_MM, f"EU {value:g}")
        elif land == "JP" and 20 <= value <= 32:
            yield Body("foot", value, value, f"JP {value:g}")
        elif value < 16:
            yield from _barleycorns(land, value, who)


def _barleycorns(land: str, value: float, who: Who) -> Iterator[Body]:
    shoes = tables().shoes
    if land in {"", "UK"}:
        yield _foot((value + 25) * BARLEYCORN_MM, f"UK {value:g}")
    if land in {"", "US"}:
        for one in _whom(who):
            least, most = shoes.us_men_above_uk if one == "men" else shoes.us_women_above_uk
            longest = _foot((value - least + 25) * BARLEYCORN_MM, "")
            shortest = _foot((value - most + 25) * BARLEYCORN_MM, "")
            yield Body("foot", shortest.low, longest.high, f"US {value:g}, {one}'s")


def _foot(last_mm: float, read_as: str) -> Body:
    least, most = tables().shoes.allowance_mm
    return Body("foot", round((last_mm - most) / 10, 1), round((last_mm - least) / 10, 1), read_as)


def _heads(text: str, who: Who) -> Iterator[Body]:
    del who
    for _, value, _ in _each(text):
        if 48 <= value <= 66:
            yield Body("head", value, value, f"{value:g} cm")
        elif 6 <= value <= 8.5:
            girth = value * pi * CM_PER_INCH
            yield Body("head", *_around(girth, 0.5), f"{value:g} in across")


def _hands(text: str, who: Who) -> Iterator[Body]:
    del who
    for _, value, _ in _each(text):
        if 5 <= value <= 12:
            yield Body("hand", *_around(value * FRENCH_INCH_CM, 0.7), f"glove size {value:g}")


def _heights(text: str, who: Who) -> Iterator[Body]:
    del who
    for _, value, _ in _each(text):
        if 44 <= value <= 188:
            yield Body("height", value - 6, value, f"{value:g} cm tall")


def _straps(text: str, who: Who) -> Iterator[Body]:
    del who
    for _, value, _ in _each(text):
        if 60 <= value <= 150:
            yield Body("waist", value - 3, value + 3, f"{value:g} cm")
        elif 24 <= value <= 50:
            yield Body("waist", *_around(value * CM_PER_INCH, 2.5), f"{value:g} in")


def body_by_tape(flat_cm: float, kind: str) -> Range:
    """Give the chest girth that a flat chest measure fits (cm), least and most.

    Parameters
    ----------
    flat_cm : float
        From armpit seam to armpit seam, laid flat (cm).
    kind : str
        Whose room around the body is taken off.

    Examples
    --------
    >>> body_by_tape(52, "shirt")
    (86.0, 96.0)
    """
    least, most = tables().ease_of(kind)
    return 2 * flat_cm - most, 2 * flat_cm - least
