"""Prices, weights and columns as anybody may hand them to the estimator, checked."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from sklearn.utils import check_array
from sklearn.utils.validation import column_or_1d

from resale.pricing.model.columns.terms import Array


def checked_prices(y: Any, count: int, *, in_logs: bool) -> Array:
    """Take the prices of sales.

    Parameters
    ----------
    y : array-like, shape (count,)
    count : int
        Rows of the table.
    in_logs : bool
        Whether each has to have a logarithm.

    Returns
    -------
    ndarray, shape (count,)

    Raises
    ------
    ValueError
        If there is none, or not one for each row, or one is not above 0 where it has to be.
    """
    if y is None:
        raise ValueError("requires y to be passed, but the target y is None")
    # Not through validate_data: given y alone, it forgets the names of the columns.
    given = column_or_1d(y, warn=True)
    price = check_array(given, ensure_2d=False, ensure_min_samples=0, dtype="numeric")
    price = np.asarray(price, dtype=float)
    if len(price) != count:
        raise ValueError(f"X has {count} rows but y has {len(price)}; give one price each")
    if in_logs and np.any(price <= 0):
        raise ValueError("a sale price is not above 0; drop that sale, or use price_scale='given'")
    return price


def checked_weights(sample_weight: Any, count: int) -> Array:
    """Take the weights of sales; one number is the weight of each.

    Parameters
    ----------
    sample_weight : array-like, shape (count,), or float, or None
        None for 1 each.
    count : int
        Rows of the table.

    Returns
    -------
    ndarray, shape (count,)

    Raises
    ------
    ValueError
        If there is not one for each row, one is below 0 or no number, or all are 0.
    """
    if sample_weight is None:
        return np.ones(count)
    given = np.asarray(sample_weight, dtype=float)
    weight = np.full(count, float(given)) if given.ndim == 0 else given
    if weight.ndim != 1:
        raise ValueError("Sample weights must be 1D array or scalar")
    if len(weight) != count:
        raise ValueError(f"sample_weight has {len(weight)} numbers for {count} sales")
    if not np.isfinite(weight).all() or (weight < 0).any():
        raise ValueError("a sample weight is negative or not a number; use 0 for no say")
    if len(weight) and not weight.any():
        raise ValueError("every sample weight is zero; give at least one sale some weight")
    return weight


def numbers_where_all_are(column: pd.Series) -> pd.Series:
    """Turn a column of objects into numbers if every known cell is one."""
    try:
        return pd.to_numeric(column)
    except (ValueError, TypeError):
        return column
