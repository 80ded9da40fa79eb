"""Which sums of weights must not go the wrong way for every ladder and curve to keep its order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.number_terms import Bends, Line
from resale.pricing.model.columns.terms import Array, Departure, Slopes, Steps, Term

Lift = Mapping[tuple[str, str], tuple[float, ...]]
Freed = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Ladder:
    """The steps of one ordered input in one group.

    Attributes
    ----------
    group : str
        Empty where all groups share it.
    owner : str
        The input.
    rows : ndarray, shape (steps, p)
        Over all columns; non-negative at the weights where the step keeps the order.
    """

    group: str
    owner: str
    rows: Array


def ladders_of(
    encoder: Encoder,
    falling: frozenset[str],
    ordered: frozenset[str],
    lift: Lift | None = None,
    freed: Freed = frozenset(),
) -> list[Ladder]:
    """Every ordered input of every group whose order is not freed.

    A step's whole effect in a group is the shared weight plus the group's departure, and for a
    tell what it moves through make; that sum is what must not go the wrong way.

    Parameters
    ----------
    encoder : Encoder
    falling, ordered : frozenset of str
        Inputs whose effect may only fall; all inputs with an order.
    lift : mapping of (group, input) to tuple of float, optional
        How far each step of a tell moves make, where it moves it least.
    freed : frozenset of (group, input), optional
        What need not keep its order.

    Returns
    -------
    list of Ladder

    Raises
    ------
    ValueError
        When an input has no order to keep.
    """
    found: list[Ladder] = []
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
        free = {group for group, name in freed if name == owner}
        blocks = {
            encoder.groups[g]: shared
            + _apart(encoder, own, g)
            + _lifted(encoder, lifted.get(g), g, shared)
            for g in sorted(apart | set(lifted))
        }
        if not blocks and not free:
            blocks = {"": shared}
        sign = -1.0 if owner in falling else 1.0
        found += [Ladder(g, owner, sign * rows) for g, rows in blocks.items() if g not in free]
    return found


def climbing_rows(encoder: Encoder, ladders: Sequence[Ladder], *, by_make: bool = False) -> Array:
    """Rows over all columns that are non-negative only if every ladder keeps its order.

    Parameters
    ----------
    encoder : Encoder
    ladders : sequence of Ladder
    by_make : bool
        Whether better made may never be cheaper either.

    Returns
    -------
    ndarray, shape (rows, p)
    """
    rows = [one.rows for one in ladders]
    if by_make:
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
