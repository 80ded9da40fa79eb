"""Held-out sales whose errors are given, for figures that can be redone by hand."""

import numpy as np

from resale.pricing.evaluation.cross_validation import COVERAGES, Guesses, ValidationSales

FIRST = np.datetime64("2026-01-01")


def cross_validate(error, *, kinds=None, half=1.0, rules_error=None, estimate=20.0, first=FIRST):
    """Sales, one a day, whose log errors are given; every band reaches as far as `half`."""
    error = np.asarray(error, dtype=float)
    count = len(error)
    middle = np.broadcast_to(np.log(estimate), count)
    spread = np.full(count, 0.3)
    reach = np.full((count, len(COVERAGES)), half)
    off = error if rules_error is None else np.asarray(rules_error)
    return ValidationSales(
        np.arange(count),
        np.zeros(count, dtype=np.intp) if kinds is None else np.asarray(kinds),
        first + np.arange(count),
        np.exp(middle + error),
        np.full(count, 100),
        Guesses(middle, spread, reach),
        Guesses(middle + error - off, spread, reach),
        True,
    )
