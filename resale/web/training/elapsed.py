"""How long a page was looked at: what its form says, and never more than makes sense."""

from __future__ import annotations

import math
import time


def seconds_since(shown: str, longest: float) -> float:
    """Seconds from when a page was sent, held within reason.

    The moment stands in the form where anybody can change it, and clocks go wrong. It is no
    reason to refuse an answer: what is no moment counts as the longest time.

    Parameters
    ----------
    shown : str
        When the page was sent, in seconds of the Unix epoch, as the form brings it back.
    longest : float
        Seconds; whoever takes longer did something else between.

    Returns
    -------
    float
        From 0 to `longest`.
    """
    try:
        passed = time.time() - float(shown)
    except ValueError:
        return longest
    return longest if math.isnan(passed) else min(max(passed, 0.0), longest)
