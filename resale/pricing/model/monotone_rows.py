"""Which sums of weights must not go the wrong way for every ladder and curve to keep its order."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.number_terms import Bends, Line
from resale.pricing.model.columns.terms import Array, Departure, Slopes, Steps, Term

Lift = Mapping[tuple[str, str], tuple[float, ...]]


def climbing_rows(
    encoder: Encoder, falling: frozenset[str], ordered: frozenset[str], lift: Lift | None = None
) -> Array:
    """Rows over all columns that are non-negative only if every ordered input keeps its order.

    A step's whole effect in a group is the shared weight plus the group's departure, and for a
    tell what it moves through make; that sum is what must not go the wrong way.

    Parameters
    ----------
    encoder : Encoder
    falling, ordered : frozenset of str
        Inputs whose effect may only fall; all inputs with an order.
    lift : mapping of (group, input) to tuple of float, optional
        How far each step of a tell moves make, where it moves it least.

    Returns
    -------
    ndarray, shape (rows, p)

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
        moves = (lift or {}).items()
        lifted = {encoder.groups.index(g): steps for (g, name), steps in moves if name == owner}
        found = [
            shared + _apart(encoder, own, g) + _lifted(encoder, lifted.get(g), g, shared)
            for g in sorted(apart | set(lifted))
        ] or [shared]
        sign = -1.0 if owner in falling else 1.0
        rows += [sign * block for block in found]
    if lift:
        # Better made is never cheaper.
        rows.append(np.eye(len(encoder.doubt))[_slopes(encoder)])
    return np.vstack(rows) if rows else np.empty((0, len(encoder.doubt)))


def _apart(encoder: Encoder, own: list[int], group: int) -> Array | float:
    """Rows of a group's own departures; nothing where it has none."""
    blocks = [i for i in own if group in _group_of(encoder, i)]
    return _climb_of(encoder, blocks) if blocks else 0.0


def _lifted(
    encoder: Encoder, steps: tuple[float, ...] | None, group: int, like: Array
) -> Array | float:
    """Rows of what a tell's steps move through make."""
    if steps is None:
        return 0.0
    rows = np.zeros_like(like)
    rows[:, _slopes(encoder)[group]] = steps
    return rows


def _slopes(encoder: Encoder) -> list[int]:
    """Columns of the slopes on make, one a group."""
    for block, (first, last) in zip(encoder.blocks, encoder.spans, strict=True):
        if isinstance(block.term, Slopes):
            return list(range(first, last))
    return []


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
