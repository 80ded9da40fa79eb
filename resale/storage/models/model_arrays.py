"""A price model as the bytes of one file: arrays and plain values, of which none can run code.

The file is a zip of NumPy's own `.npy` arrays, read with ``allow_pickle=False``; words and single
numbers stand in it as JSON. numpy.lib.format, 'Format Version 1.0': without pickle an array of
objects is refused. CWE-502; OWASP ASVS 5.0, 1.5.2.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Mapping
from typing import Any

import numpy as np

PLAIN = "plain"
# A shop with every kind and a hundred thousand sales has some 30 MB; a trap unpacks to anything.
LARGEST_UNPACKED = 400_000_000


def to_bytes(plain: Mapping[str, Any]) -> bytes:
    """Store a nest of dicts with text keys, arrays, lists, text and numbers; same in, same bytes.

    Raises
    ------
    TypeError
        If it holds anything else.
    """
    arrays: dict[str, np.ndarray] = {}
    words = _without_arrays(plain, "", arrays)
    arrays[PLAIN] = np.frombuffer(json.dumps(words, allow_nan=False).encode(), dtype=np.uint8)
    stream = io.BytesIO()
    # NumPy gives each part the same day, so that the digest is that of the model alone.
    np.savez_compressed(stream, allow_pickle=False, **arrays)
    return stream.getvalue()


def from_bytes(content: bytes) -> dict[str, Any]:
    """Read what `to_bytes` stored.

    Raises
    ------
    ValueError, OSError, KeyError, zipfile.BadZipFile
        If the bytes are anything else, or unpack to more than any model has.
    """
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        if sum(part.file_size for part in archive.infolist()) > LARGEST_UNPACKED:
            raise ValueError("it unpacks to more than a model has")
    with np.load(io.BytesIO(content), allow_pickle=False) as parts:
        plain: dict[str, Any] = json.loads(parts[PLAIN].tobytes())
        for name in parts.files:
            if name != PLAIN:
                *way, last = name.split("/")
                place = plain
                for step in way:
                    place = place[step]
                place[last] = parts[name]
    return plain


def _without_arrays(nest: Mapping[str, Any], way: str, arrays: dict[str, np.ndarray]) -> Any:
    """Take the arrays out of a nest, each under the way to it."""
    left: dict[str, Any] = {}
    for name, one in nest.items():
        if isinstance(one, np.ndarray):
            if one.dtype.kind not in "fiu":
                raise TypeError(f"{way}{name} is an array of {one.dtype}, not of numbers")
            arrays[f"{way}{name}"] = one
        elif isinstance(one, Mapping):
            left[name] = _without_arrays(one, f"{way}{name}/", arrays)
        else:
            left[name] = one
    return left
