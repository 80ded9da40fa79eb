"""What is said of how far sales spread, and of what would be left of it."""

from __future__ import annotations

# Two ways of reckoning the same spread from some dozens of sales differ by so much; an opinion.
BY_CHANCE = 1.25


def left_with_every_sign(spread: float | None, noise: float) -> float | None:
    """What would be left of the spread with every sign looked at; None where it cannot be told.

    Signs take spread away and add none. Where all were read the two are alike but for chance; from
    few sales, or beside one price that is far off, the model's noise says nothing of signs.

    Parameters
    ----------
    spread : float or None
        As `spread_as_read` gives it; None of a fit that did not keep it.
    noise : float
        Of the model: standard deviation of log price.

    Examples
    --------
    >>> left_with_every_sign(0.35, 0.2), left_with_every_sign(1.2, 3.23)
    (0.2, None)
    """
    if spread is None:
        return noise
    return min(noise, spread) if noise <= BY_CHANCE * spread else None


def spread_words(spread: float | None, noise: float) -> str:
    """Say how far sales spread, and what would be left of it.

    Parameters
    ----------
    spread, noise : float
        As for `left_with_every_sign`.
    """
    left = left_with_every_sign(spread, noise)
    if spread is None:
        return f"With every sign looked at, they would spread by about {noise:.0%}."
    said = f"As they were read, they spread by about {spread:.0%} around their prices; "
    if left is None:
        return f"{said}what would be left with every sign looked at cannot be told yet."
    return f"{said}with every sign looked at, about {left:.0%} would be left."
