"""The file of a copy in pieces: what the copy says of itself, its pieces, and the seal of both.

Three lines: the first as the file within a zip says it, the second the digests of each file's
pieces (SHA-256, base64 of all after each other), the third the SHA-256 of the two before it.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from resale.storage.backup.manifest import CopyManifest, altered, manifest_of

SUFFIX = ".pieces"
_LENGTH = hashlib.sha256().digest_size


@dataclass(frozen=True)
class Listing:
    """A copy in pieces as its file says it.

    Attributes
    ----------
    pieces : dict of str to tuple of str
        By name of the file: SHA-256 of each of its pieces, in order.
    """

    manifest: CopyManifest
    pieces: Mapping[str, tuple[str, ...]]


def listing_text(manifest: CopyManifest, pieces: Mapping[str, Sequence[str]]) -> bytes:
    """Write down a copy in pieces.

    Parameters
    ----------
    manifest : CopyManifest
    pieces : dict of str to sequence of str
        As `Listing` has them.
    """
    packed = {
        name: base64.b64encode(bytes.fromhex("".join(digests))).decode("ascii")
        for name, digests in pieces.items()
    }
    said = f"{manifest.model_dump_json()}\n{json.dumps(packed, separators=(',', ':'))}\n".encode()
    return said + hashlib.sha256(said).hexdigest().encode("ascii") + b"\n"


def read_listing(path: Path) -> Listing:
    """Read the file of a copy in pieces, and see that it is as it was sealed.

    Raises
    ------
    CopyError
        If it was altered, or comes from a later version of the program.
    """
    lines = path.read_bytes().split(b"\n")
    # What a later version says after its first line is its own affair.
    manifest = manifest_of(lines[0], path.name)
    sealed = b"\n".join(lines[:2]) + b"\n"
    if len(lines) != 4 or lines[3] or lines[2] != hashlib.sha256(sealed).hexdigest().encode():
        raise altered(path.name, "its list of pieces is not what it was")
    try:
        plain: dict[str, str] = json.loads(lines[1])
        pieces = {name: _digests(packed) for name, packed in plain.items()}
    except (ValueError, AttributeError, binascii.Error, TypeError):
        raise altered(path.name, "its list of pieces cannot be read") from None
    if set(pieces) != set(manifest.files):
        raise altered(path.name, "its pieces are not those of its files")
    return Listing(manifest, pieces)


def _digests(packed: str) -> tuple[str, ...]:
    content = base64.b64decode(packed, validate=True)
    starts = range(0, len(content), _LENGTH)
    return tuple(content[start : start + _LENGTH].hex() for start in starts)
