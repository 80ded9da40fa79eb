"""Columns of money: minor units in 64 bits, whatever the currency and however much adds up."""

from __future__ import annotations

from typing import Annotated, Any

from sqlalchemy import BigInteger, ColumnElement, Integer, cast, func
from sqlalchemy.orm import mapped_column

# SQLite's own integers have 64 bits.
_MINOR = BigInteger().with_variant(Integer(), "sqlite")

Minor = Annotated[int, mapped_column(_MINOR)]
"""Type of a column in minor units."""


def added_up(amount: Any) -> ColumnElement[int]:
    """Sum of a column of money as whole numbers: a server gives sums of long integers as decimals.

    Parameters
    ----------
    amount : column expression
        In minor units.
    """
    return cast(func.sum(amount), _MINOR)
