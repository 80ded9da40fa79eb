"""Cords on children's upper outerwear: when one must be held, by US and EU rules.

What cannot be told from what was entered is asked, never assumed. The answer is a caution for the
lead and no legal advice.

References
----------
16 CFR 1120 with ASTM F1816-97: CPSC page on drawstrings in children's upper outerwear (seen).
EN 14682: page of the Finnish authority Tukes (seen); heights to 176 and 182 cm: a second page
(seen). The lengths that EN 14682 gives for waist and hem were not seen, so they are asked.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from resale.errors import ReadingError

Place = Literal["neck", "waist"]
Verdict = Literal["within", "ask", "hold"]

HOLD_ID = "child_cords"
MOST_INCHES = 3.0
"""16 CFR 1120: outside the channel, with the garment at its full width."""

US_LEAST, US_NECK_MOST, US_WAIST_MOST = 2, 12, 16
EU_YOUNG_AGE, EU_YOUNG_CM = 7, 134
EU_OLDER_AGE, EU_OLDER_CM = 14, 182

US_SOURCE = "16 CFR 1120, ASTM F1816-97"
EU_SOURCE = "EN 14682"

_US_SIZE = re.compile(r"(?P<size>\d{1,2})\s*(?P<toddler>t)?", re.IGNORECASE)
_AGE = re.compile(
    r"(?P<low>\d{1,2})(?:\s*[-–]\s*(?P<high>\d{1,2}))?\s*(?P<unit>y|yrs?|years?|m|mths?|months?)",
    re.IGNORECASE,
)
_HEIGHT = re.compile(r"(?P<cm>\d{2,3})(?:\s*[-–/]\s*\d{2,3})?\s*cm", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CordAnswer:
    """What a rule says of one cord.

    Attributes
    ----------
    verdict : str
        'hold' (the rule forbids it), 'ask' (a lead must look), 'within' (the rule allows it, or
        does not reach so far).
    sentence : str
    source : str
    """

    verdict: Verdict
    sentence: str
    source: str

    @property
    def holds(self) -> bool:
        """Whether the item waits for a lead."""
        return self.verdict != "within"


@dataclass(frozen=True, slots=True)
class ChildSize:
    """A size as read: one of a US size, an age in years, a height in cm."""

    us: int | None = None
    age: float | None = None
    cm: int | None = None


def cord_rule(
    size_or_age: str,
    place: Place,
    length_in: float,
    region: str,
    *,
    attachments: bool | None = None,
    stitched_fast: bool | None = None,
    free_ends: bool | None = None,
) -> CordAnswer:
    """Judge one cord of a child's coat, jacket, sweatshirt or the like.

    Parameters
    ----------
    size_or_age : str
        As on the label: ``4T``, ``14``, ``6 years``, ``18 months``, ``128 cm``.
    place : 'neck' or 'waist'
        Hood, head and neck; or waist and bottom hem.
    length_in : float
        Inches outside the channel, at each end, with the garment at its full width.
    region : str
        ``us`` or ``eu``; anywhere else is asked.
    attachments : bool, optional
        Whether a toggle, knot or the like sits at a free end.
    stitched_fast : bool, optional
        Whether a continuous string is stitched through so that it cannot be pulled out; True also
        where the string is not continuous.
    free_ends : bool, optional
        Whether the ends hang free.

    Returns
    -------
    CordAnswer

    Raises
    ------
    ReadingError
        For a length or a place that cannot be.

    Examples
    --------
    >>> cord_rule("8", "neck", 1.0, "us").verdict
    'hold'
    >>> cord_rule("14", "neck", 1.0, "us").verdict
    'within'
    """
    if place not in {"neck", "waist"}:
        raise ReadingError(
            f"{place!r} is no place of a cord", where="cord", remedy="use neck or waist"
        )
    if not (math.isfinite(length_in) and 0 <= length_in <= 100):
        raise ReadingError(
            f"a cord cannot be {length_in:g} in long",
            where="cord",
            remedy="measure what stands out of the channel",
        )
    size = read_child_size(size_or_age)
    if region == "us":
        return _us(size, place, length_in, attachments, stitched_fast)
    if region == "eu":
        return _eu(size, place, free_ends)
    return CordAnswer(
        "ask", "No rule of this country is kept here: a lead asks the public authority.", ""
    )


def read_child_size(text: str) -> ChildSize:
    """Read a child's size; what cannot be read comes back empty and is asked.

    A range of ages or heights counts by its lower end, where rules are stricter.

    Examples
    --------
    >>> read_child_size("4T"), read_child_size("18 months"), read_child_size("134 cm")
    (ChildSize(us=4, age=None, cm=None), ChildSize(us=None, age=1.5, cm=None), ChildSize(us=None, age=None, cm=134))
    """  # noqa: E501 - an example shows its whole answer
    cleaned = text.strip()
    if found := _HEIGHT.fullmatch(cleaned):
        return ChildSize(cm=int(found["cm"]))
    if found := _AGE.fullmatch(cleaned):
        months = found["unit"].lower().startswith("m")
        return ChildSize(age=int(found["low"]) / (12 if months else 1))
    if found := _US_SIZE.fullmatch(cleaned):
        return ChildSize(us=int(found["size"]))
    return ChildSize()


def _us(
    size: ChildSize,
    place: Place,
    length: float,
    attachments: bool | None,
    stitched_fast: bool | None,
) -> CordAnswer:
    most = US_NECK_MOST if place == "neck" else US_WAIST_MOST
    if size.us is None:
        return _to_ask("The US rule goes by sizes 2T to 16, and this is none of them", US_SOURCE)
    if size.us < US_LEAST:
        return _to_ask("The rule begins at size 2T; on a smaller child it is no safer", US_SOURCE)
    if size.us > most:
        where = "hood or neck" if place == "neck" else "waist or hem"
        return CordAnswer(
            "within",
            f"At the {where} the rule ends with size {most}; this is {size.us}.",
            US_SOURCE,
        )
    if place == "neck":
        return CordAnswer(
            "hold", "No drawstring at hood or neck in sizes 2T to 12, however short.", US_SOURCE
        )
    if length > MOST_INCHES:
        return CordAnswer(
            "hold", f"At waist or hem at most 3 in may stand out; this is {length:g} in.", US_SOURCE
        )
    return _us_ends(length, attachments, stitched_fast)


def _us_ends(length: float, attachments: bool | None, stitched_fast: bool | None) -> CordAnswer:
    """Judge a cord at the waist that is short enough."""
    if attachments:
        return CordAnswer("hold", "No toggle, knot or the like at a free end.", US_SOURCE)
    if stitched_fast is False:
        return CordAnswer(
            "hold", "One continuous string must be stitched fast in its channel.", US_SOURCE
        )
    if attachments is None or stitched_fast is None:
        return _to_ask(
            f"{length:g} in is short enough; look for toggles and knots at the ends, and whether "
            "one continuous string is stitched fast",
            US_SOURCE,
        )
    return CordAnswer(
        "within", f"{length:g} in, nothing at the ends, stitched fast: within the rule.", US_SOURCE
    )


def _eu(size: ChildSize, place: Place, free_ends: bool | None) -> CordAnswer:
    if size.age is None and size.cm is None:
        return _to_ask("The European standard goes by age or height; find one of them", EU_SOURCE)
    if _above(size, EU_OLDER_AGE, EU_OLDER_CM):
        return CordAnswer("within", "The standard ends with 14 years or 182 cm.", EU_SOURCE)
    if place == "waist":
        return _to_ask(
            "At waist and hem the standard sets lengths by age; the lead looks them up", EU_SOURCE
        )
    if not _above(size, EU_YOUNG_AGE, EU_YOUNG_CM):
        return CordAnswer(
            "hold", "No cord at hood, head or neck up to 7 years or 134 cm.", EU_SOURCE
        )
    if free_ends:
        return CordAnswer(
            "hold", "No drawstring with free ends at hood, head or neck up to 14 years.", EU_SOURCE
        )
    return _to_ask("Look whether the ends hang free; other cords here have limits too", EU_SOURCE)


def _above(size: ChildSize, age: float, cm: int) -> bool:
    return size.age > age if size.age is not None else (size.cm or 0) > cm


def _to_ask(clause: str, source: str) -> CordAnswer:
    return CordAnswer("ask", f"{clause}: a lead decides before it is priced.", source)


# Where a cord may be found, and which of the two rules' places it belongs to. Others than hood,
# neck, waist and hem are in neither rule as far as it was read, so they are asked.
_RULE_PLACES: dict[str, Place] = {
    "neck": "neck",
    "halter": "neck",
    "scarf": "neck",
    "waist": "waist",
    "hem": "waist",
}
_REGIONS = {"us": "In the US", "eu": "In the EU"}


def cord_words(size_or_age: str, place: str, length_in: float = 0.0) -> tuple[str, ...]:
    """Say what the rules make of a cord that was found, for the page of the lead.

    Parameters
    ----------
    size_or_age : str
        As on the label.
    place : str
        'neck', 'halter', 'scarf', 'waist', 'hem', 'back' or 'sleeve'; nothing is said of 'none'.
    length_in : float
        Inches outside the channel, where it was measured.

    Returns
    -------
    tuple of str
        One sentence for each rule; none of them lets it out, a lead does.

    Examples
    --------
    >>> cord_words("8", "neck")[0]
    'In the US: No drawstring at hood or neck in sizes 2T to 12, however short. (16 CFR 1120, ASTM F1816-97)'
    """  # noqa: E501 - an example shows its whole answer
    if place in {"", "none"}:
        return ()
    if place not in _RULE_PLACES:
        return (
            "Ties at the back and cords at sleeves: EN 14682 has rules for them that were not "
            "read here. A lead looks them up, or asks the product-safety authority.",
        )
    sentences = []
    for region, name in _REGIONS.items():
        answer = cord_rule(size_or_age, _RULE_PLACES[place], length_in, region)
        source = f" ({answer.source})" if answer.source else ""
        sentences.append(f"{name}: {answer.sentence}{source}")
    return tuple(sentences)
