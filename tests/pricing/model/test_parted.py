"""Solving kind by kind gives what solving all at once gives (second road: NumPy's inverse)."""

import numpy as np
import pytest

from resale.pricing.model.hyperparameters import Sums
from resale.pricing.model.parted import SHARED, ByKind, Parts, parts_of


def arrow(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Cross products of columns of three kinds and of all, in any order, and whose they are."""
    rng = np.random.default_rng(seed)
    apart = rng.permutation(np.repeat([SHARED, 0, 1, 2], [4, 3, 5, 2]))
    kind = rng.integers(0, 3, 60)
    columns = rng.normal(size=(60, len(apart)))
    columns *= (apart == SHARED) | (apart == kind[:, None])
    return columns.T @ columns, apart


@pytest.mark.parametrize("seed", range(3))
def test_kind_by_kind_gives_the_inverse_of_the_whole(seed):
    gram, apart = arrow(seed)
    system = gram + np.diag(np.random.default_rng(seed).uniform(0.1, 9, len(apart)))
    parts = parts_of(gram, apart)
    assert isinstance(parts, Parts) and sorted(map(len, parts.own)) == [2, 3, 5]
    solved, inverse = ByKind.of(system, parts), np.linalg.inv(system)
    right = np.arange(1.0, len(apart) + 1)
    assert np.allclose(solved.covariance(), inverse, rtol=0, atol=1e-10)
    assert np.allclose(solved.diagonal(), np.diag(inverse), rtol=0, atol=1e-10)
    assert np.allclose(solved.times(right), inverse @ right, rtol=0, atol=1e-10)


def test_a_column_that_meets_another_kinds_all_the_same_counts_as_shared():
    gram, apart = arrow(7)
    one, other = np.flatnonzero(apart == 0)[0], np.flatnonzero(apart == 1)[0]
    gram[one, other] = gram[other, one] = 0.5
    parts = parts_of(gram, apart)
    assert parts is not None and one in parts.shared
    system = gram + 40 * np.eye(len(apart))
    inverse = np.linalg.inv(system)
    assert np.allclose(ByKind.of(system, parts).covariance(), inverse, rtol=0, atol=1e-10)


def test_one_kind_is_not_parted():
    gram, apart = arrow(1)
    assert parts_of(gram, np.where(apart == 0, 0, SHARED)) is None


def test_of_two_ways_the_one_that_leaves_fewer_together_is_taken():
    """Forty options of one input, lots of ten, beside two kinds of three columns each."""
    rng = np.random.default_rng(5)
    option, kind = rng.integers(0, 40, 300), rng.integers(0, 2, 300)
    options = np.eye(40)[option]
    by_kind = rng.normal(size=(300, 6)) * (np.repeat([0, 1], 3) == kind[:, None])
    columns = np.hstack([np.ones((300, 1)), by_kind, options])
    kinds = np.r_[SHARED, np.repeat([0, 1], 3), np.full(40, SHARED)]
    lots = np.r_[np.full(7, SHARED), np.arange(40) // 10]
    gram = columns.T @ columns
    sums = Sums(gram, columns.sum(axis=0), 300.0, 300.0, (kinds, lots))
    assert sums.parts is not None and len(sums.parts.shared) == 7
    assert [len(own) for own in sums.parts.own] == [10] * 4
    system = gram + np.eye(47)
    solved = ByKind.of(system, sums.parts)
    assert np.allclose(solved.covariance(), np.linalg.inv(system), rtol=0, atol=1e-10)
