"""The grey scale for change of colour (ISO 105-A02): 5 is unchanged, 1 is worst."""

from __future__ import annotations

from dataclasses import dataclass

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
