"""Which sums of weights must not go the wrong way for every ladder and curve to keep its order."""

from __future__ import annotations

import numpy as np

from resale.pricing.model.encoding import Encoder
from resale.pricing.model.terms import Array, Bends, Departure, Line, Steps, Term


def climbing_rows(encoder: Encoder, falling: frozenset[str], ordered: frozenset[str]) -> Array:
    """Rows over all columns that are non-negative only if every ordered input keeps its order.

    A step's whole effect in a group is the shared weight plus the group's departure; that sum is
    what must not go the wrong way.

    Raises
    ------
    ValueError
        When an input has no order to keep.
    """
    rows: list[Array] = []
    for owner in sorted(ordered):
        own = [i for i, block in enumerate(encoder.blocks) if block.term.owner == owner]
        if not any(isinstance(_inner(encoder, i), Steps | Line) for i in own):
            raise ValueError(
                f"{owner!r} has no order to keep; name a column of numbers or ordered categories"
            )
        shared = _climb_of(encoder, [i for i in own if not _group_of(encoder, i)])
        apart = {g for i in own for g in _group_of(encoder, i)}
        found = [shared] if not apart else [
            shared + _climb_of(encoder, [i for i in own if g in _group_of(encoder, i)])
            for g in sorted(apart)
        ]  # fmt: skip
        sign = -1.0 if owner in falling else 1.0
        rows += [sign * block for block in found]
    return np.vstack(rows) if rows else np.empty((0, len(encoder.doubt)))


def _inner(encoder: Encoder, block: int) -> Term:
    term = encoder.blocks[block].term
    return term.inner if isinstance(term, Departure) else term


def _group_of(encoder: Encoder, block: int) -> tuple[int, ...]:
    term = encoder.blocks[block].term
    return (term.group,) if isinstance(term, Departure) else ()


def _climb_of(encoder: Encoder, blocks: list[int]) -> Array:
    """Rows of one ladder or one curve."""
    line: int | None = None
    parts: list[tuple[int, int, Array]] = []
    for block in blocks:
        inner = _inner(encoder, block)
        start, end = encoder.spans[block]
        if isinstance(inner, Steps):
            parts.append((start, end, np.eye(end - start)))
        elif isinstance(inner, Line):
            line = start
            parts.append((start, end, np.ones((1, 1))))
        elif isinstance(inner, Bends) and line is not None:
            straight, bends = inner.climb()
            parts = [(line, line + 1, straight[:, None]), (start, end, bends)]
    height = len(parts[0][2]) if parts else 0
    rows = np.zeros((height, len(encoder.doubt)))
    for start, end, part in parts:
        rows[:, start:end] = part
    return rows
