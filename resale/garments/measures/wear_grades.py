"""Published grade scales for wear: 5 is unchanged, 1 is worst, half grades allowed.

Pilling, fuzzing and matting are three findings (ISO 12945 parts 1 to 3:2020). Change of colour
(ISO 105-A02) and staining (ISO 105-A03) are two scales with limits of their own: a grade of one
is never compared with a grade of the other.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from resale.errors import ReadingError
from resale.garments.measures.grey_scale import GRADES


class WearScale(StrEnum):
    """The scales; grades of two scales never mix."""

    PILLING = "pilling"
    FUZZING = "fuzzing"
    MATTING = "matting"
    COLOUR_CHANGE = "colour_change"
    STAINING = "staining"


@dataclass(frozen=True, slots=True)
class ScaleSource:
    """Where a scale comes from, and whether the text was seen."""

    standard: str
    status: str


SOURCES: Mapping[WearScale, ScaleSource] = MappingProxyType(
    {
        WearScale.PILLING: ScaleSource("ISO 12945:2020", "from memory"),
        WearScale.FUZZING: ScaleSource("ISO 12945:2020", "from memory"),
        WearScale.MATTING: ScaleSource("ISO 12945:2020", "from memory"),
        WearScale.COLOUR_CHANGE: ScaleSource("ISO 105-A02:1993, cl. 2.4", "seen in two copies"),
        WearScale.STAINING: ScaleSource("ISO 105-A03:1993", "from memory"),
    }
)

_SURFACE_WORDS = {
    WearScale.PILLING: (
        "no pills",
        "pills just starting",
        "pills of mixed size over part of the area",
        "clear pills over much of the area",
        "dense pills everywhere",
    ),
    WearScale.FUZZING: (
        "surface as new",
        "slight fuzz",
        "fuzz over part of the area",
        "clear fuzz over much of the area",
        "dense fuzz everywhere",
    ),
    WearScale.MATTING: (
        "surface as new",
        "slight matting",
        "matting over part of the area",
        "clear matting over much of the area",
        "dense matting everywhere",
    ),
    WearScale.COLOUR_CHANGE: (
        "colour as new",
        "slight change, seen side by side",
        "change seen at a second look",
        "change seen at once",
        "colour gone or altogether other",
    ),
    WearScale.STAINING: (
        "no stain",
        "slight stain, seen side by side",
        "stain seen at a second look",
        "stain seen at once",
        "deep stain",
    ),
}


@dataclass(frozen=True, slots=True)
class WearGrade:
    """A grade on one scale.

    Attributes
    ----------
    scale : WearScale
        Which scale.
    value : float
        1 to 5 in halves; 5 is unchanged.

    Raises
    ------
    ReadingError
        If the value is not one of the nine grades.
    """

    scale: WearScale
    value: float

    def __post_init__(self) -> None:
        if self.value not in GRADES:
            raise ReadingError(
                f"grade {self.value!r} is not on the scale",
                where=self.scale.value,
                remedy="use 1 to 5 in halves, 5 is unchanged",
            )

    @property
    def label(self) -> str:
        """The grade as the standards print it: 4-5 for four and a half."""
        low = int(self.value)
        return str(low) if self.value == low else f"{low}-{low + 1}"

    @property
    def wording(self) -> str:
        """What the grade looks like, in our own words."""
        words = _SURFACE_WORDS[self.scale]
        low = int(self.value)
        if self.value == low:
            return words[5 - low]
        return f"between '{words[4 - low]}' and '{words[5 - low]}'"
