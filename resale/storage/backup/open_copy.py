"""A copy of a shop as it is read, whichever form it has."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from resale.storage.backup.manifest import CopyManifest, altered


@dataclass(frozen=True)
class OpenCopy:
    """A copy that is open for reading.

    Attributes
    ----------
    name : str
        For the sentence where something is wrong with it.
    parts_of : callable
        Gives what a file in it holds, part after part. It may give one part more than was sealed,
        and no more.
    """

    name: str
    manifest: CopyManifest
    parts_of: Callable[[str], Iterator[bytes]]

    def parts(self, name: str) -> Iterator[bytes]:
        """Give what a file in it holds, and see that it is what was sealed.

        Raises
        ------
        CopyError
            If it cannot be read, or is not what was sealed.
        """
        seal = self.manifest.files[name]
        digest, left = hashlib.sha256(), seal.size
        for part in self.parts_of(name):
            if len(part) > left:
                raise altered(self.name, f"{name} is longer than it was")
            left -= len(part)
            digest.update(part)
            yield part
        if left or digest.hexdigest() != seal.sha256:
            raise altered(self.name, f"{name} is not what it was")
