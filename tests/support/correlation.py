"""How strongly signs go together, in one figure."""

import numpy as np

from resale.pricing.model.columns.terms import Array


def mean_correlation(loading: Array) -> float:
    """Mean correlation between two different signs: ``l_i l_j`` over all pairs; 0 for fewer."""
    if len(loading) < 2:
        return 0.0
    both = np.outer(loading, loading)
    return float((both.sum() - np.trace(both)) / (len(loading) * (len(loading) - 1)))
