"""Random numbers of the invented shop: one stream for each purpose, named.

Every purpose has a stream of its own, so that a changed word in the rule book, or a new signal,
leaves the chances of everything else as they were. Only uniform and normal numbers are drawn.
"""

from __future__ import annotations

from zlib import crc32

import numpy as np

SEED = 20261031


def stream(*names: str) -> np.random.Generator:
    """Return the stream of this purpose, always the same for the same names."""
    return np.random.Generator(np.random.PCG64([SEED, crc32("/".join(names).encode())]))
