"""Grey scales for change of colour and for staining: CIELAB differences to grades.

Two scales with limits of their own (ISO 105-A02 and -A03); 5 is unchanged, 1 is worst.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resale.errors import ReadingError

Floats = float | NDArray[np.float64]

BEST, WORST = 5.0, 1.0
GRADES: tuple[float, ...] = (5.0, 4.5, 4.0, 3.5, 3.0, 2.5, 2.0, 1.5, 1.0)


@dataclass(frozen=True, slots=True)
class GreyStep:
    """One pair of a grey scale: nominal CIELAB difference and its tolerance, either way."""

    grade: float
    delta_e: float
    tolerance: float


def _steps(rows: tuple[tuple[float, float], ...]) -> tuple[GreyStep, ...]:
    return tuple(
        GreyStep(grade, delta_e, tolerance)
        for grade, (delta_e, tolerance) in zip(GRADES, rows, strict=True)
    )


# ISO 105-A02:1993 cl. 2.4, nominal CIELAB difference and tolerance by grade, 5 down to 1.
COLOUR_CHANGE_STEPS = _steps(
    (
        (0.0, 0.2),
        (0.8, 0.2),
        (1.7, 0.3),
        (2.5, 0.35),
        (3.4, 0.4),
        (4.8, 0.5),
        (6.8, 0.6),
        (9.6, 0.7),
        (13.6, 1.0),
    )
)
# ISO 105-A03:1993, from memory.
STAINING_STEPS = _steps(
    (
        (0.0, 0.2),
        (2.2, 0.3),
        (4.3, 0.3),
        (6.0, 0.4),
        (8.5, 0.5),
        (12.0, 0.7),
        (16.9, 1.0),
        (24.0, 1.5),
        (34.1, 2.0),
    )
)
# ISO 105-A05:1996, table, from memory: the difference below which each grade holds, 5 to 1-2.
COLOUR_CHANGE_LIMITS: tuple[float, ...] = (0.40, 1.25, 2.10, 2.95, 4.10, 5.80, 8.20, 11.60)


def grey_scale_grade(delta_e: ArrayLike) -> Floats:
    """Grade a change of colour by the step table of ISO 105-A05:1996 (from memory).

    Parameters
    ----------
    delta_e : float or array
        Colour difference of A05 (for two greys, the difference in L*), CIELAB units, 0 or more.

    Returns
    -------
    float or array
        Grades 1 to 5 in halves, 5 unchanged. A value equal to a limit takes the lower grade.

    Raises
    ------
    ReadingError
        If a difference is negative or not a number.

    Notes
    -----
    For change of colour only; staining has limits of its own. The companion formula
    (`grey_scale_rating`) rounds differently near some limits: this table is the one used for
    grades.

    Examples
    --------
    >>> grey_scale_grade(3.4)
    3.0
    """
    differences = _differences(delta_e)
    steps = np.searchsorted(COLOUR_CHANGE_LIMITS, differences, side="right")
    return _plain(np.asarray(GRADES)[steps])


def grey_scale_rating(delta_e: ArrayLike) -> Floats:
    """Rate a change of colour without steps, by the companion formula (from memory).

    5 - d/1.7 if d <= 3.4, else 5 - log2(d/0.85); no lower than 1

    Parameters
    ----------
    delta_e : float or array
        As for `grey_scale_grade`.

    Returns
    -------
    float or array
        1 to 5.
    """
    differences = _differences(delta_e)
    # The floor keeps the logarithm off nought, where the straight line holds anyway.
    curve = 5.0 - np.log2(np.maximum(differences, 3.4) / 0.85)
    rating = np.where(differences <= 3.4, 5.0 - differences / 1.7, curve)
    return _plain(np.clip(rating, WORST, BEST))


def staining_rating(delta_e: ArrayLike, delta_l: ArrayLike) -> Floats:
    """Rate staining without steps, by the formula of ISO 105-A04 (from memory).

    d = E - 0.4 * sqrt(E^2 - L^2); 6.1 - 1.45 ln d where that is 4 or less, else 5 - 0.23 d

    Parameters
    ----------
    delta_e : float or array
        CIELAB difference of the stained cloth to the clean, 0 or more.
    delta_l : float or array
        Its difference in lightness L*, no larger than ``delta_e`` either way.

    Returns
    -------
    float or array
        1 to 5, 5 without stain.

    Raises
    ------
    ReadingError
        If a difference cannot be.
    """
    whole = _differences(delta_e)
    lightness = _differences(np.abs(np.asarray(delta_l, dtype=np.float64)))
    if (lightness > whole).any():
        raise ReadingError(
            "the difference in lightness is larger than the whole difference",
            remedy="measure again",
        )
    grey = whole - 0.4 * np.sqrt(whole**2 - lightness**2)
    # Below 1 the straight line always holds; the floor keeps the logarithm off nought.
    curve = 6.1 - 1.45 * np.log(np.maximum(grey, 1.0))
    rating = np.where(curve <= 4.0, curve, 5.0 - 0.23 * grey)
    return _plain(np.clip(rating, WORST, BEST))


def _differences(values: ArrayLike) -> NDArray[np.float64]:
    differences = np.asarray(values, dtype=np.float64)
    if not (np.isfinite(differences).all() and (differences >= 0).all()):
        raise ReadingError(
            "a colour difference is negative or not a number",
            remedy="measure again, or leave it as not looked at",
        )
    return differences


def _plain(values: NDArray[np.float64]) -> Floats:
    return float(values) if values.ndim == 0 else values
