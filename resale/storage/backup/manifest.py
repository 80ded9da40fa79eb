"""What a copy says of itself: its files with their digests, rows and sums, and who may open it."""

from __future__ import annotations

import struct
import zipfile
import zlib
from datetime import datetime
from pathlib import PurePosixPath
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from resale.errors import ResaleError
from resale.storage.backup.totals import Totals

MANIFEST = "copy.json"
# Copies of records on a server say so, which programs of before cannot read.
FORMAT, FORMAT_ON_SERVER, FORMAT_IN_PIECES = 1, 2, 3
NEWEST_FORMAT = FORMAT_IN_PIECES
LARGEST = 100_000_000
# All that a harmed zip may raise: a wrong sum, a broken stream, an end too soon, a method or a lock
# that none of ours has, a place that is none, a name that is no text.
UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    OverflowError,
    struct.error,
)
Why = Literal["daily", "by-hand"]


class CopyError(ResaleError):
    """A copy cannot be made, or cannot be used."""


class NoSuchCopyError(CopyError):
    """No copy of this name is kept."""


def _inside(name: str) -> str:
    if not stays_inside(name):
        raise ValueError("is not a name within the shop's folder")
    return name


Name = Annotated[str, AfterValidator(_inside)]


def stays_inside(name: str) -> bool:
    """Whether a name leads to a file within a folder, on every system that it may be carried to."""
    path = PurePosixPath(name)
    strange = "\\" in name or ":" in name or not name.isprintable()
    return not (strange or path.is_absolute() or ".." in path.parts or name != str(path))


class FileSeal(BaseModel):
    """What a file in a copy has to be."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    size: Annotated[int, Field(ge=0)]


class CopyManifest(BaseModel):
    """What a copy says of itself.

    Attributes
    ----------
    revision, counts, sold
        As `resale.storage.backup.totals.Totals` has them, at the moment of the copy.
    files : dict of str to FileSeal
        Every file in it but this one.
    shop_key : str
        Of records on a server: the name of their schema. Empty where they are a file.
    added : int
        Of a copy in pieces: bytes of what was new on its day. A whole copy does not say it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: int
    program: str
    made_at: datetime
    why: Why
    shop: str
    invented: bool
    revision: str
    counts: dict[str, int]
    sold: dict[str, int]
    files: dict[Name, FileSeal]
    shop_key: str = ""
    added: Annotated[int, Field(ge=0)] = 0

    @property
    def totals(self) -> Totals:
        """What the records in it have to hold."""
        return Totals(self.revision, self.counts, self.sold)


class _Outside(BaseModel):
    """The little that every format to come will say too."""

    format: int
    program: str = "a program unknown"


def read_manifest(archive: zipfile.ZipFile, name: str) -> CopyManifest:
    """Read what an open copy says of itself.

    Parameters
    ----------
    archive : ZipFile
        Open for reading.
    name : str
        Of the copy, for the sentence.

    Returns
    -------
    CopyManifest

    Raises
    ------
    CopyError
        If it says nothing, or comes from a later version of the program.
    """
    try:
        if archive.getinfo(MANIFEST).file_size > LARGEST:
            raise altered(name, "it says more of itself than any copy does")
        content = archive.read(MANIFEST)
    except KeyError:
        raise CopyError(
            "this is no copy of a shop", where=name, remedy="pick one that 'resale keep' made"
        ) from None
    except UNREADABLE:
        raise altered(name, "what it says of itself cannot be read") from None
    return manifest_of(content, name)


def manifest_of(content: bytes, name: str) -> CopyManifest:
    """Read what a copy says of itself.

    Parameters
    ----------
    content : bytes
        As it stands in the copy.
    name : str
        Of the copy, for the sentence.

    Returns
    -------
    CopyManifest

    Raises
    ------
    CopyError
        If it cannot be so, or comes from a later version of the program.
    """
    try:
        outside = _Outside.model_validate_json(content)
        if outside.format > NEWEST_FORMAT:
            raise newer(name, outside.program)
        return CopyManifest.model_validate_json(content)
    except ValidationError as fault:
        where = ".".join(str(step) for step in fault.errors(include_url=False)[0]["loc"])
        raise altered(name, f"what it says of {where or 'itself'} cannot be so") from None


def altered(name: str, how: str) -> CopyError:
    """Say that a copy is not what it was when it was made.

    Parameters
    ----------
    name : str
        Of the copy.
    how : str
        What was found, as part of a sentence.

    Returns
    -------
    CopyError
        To be raised by the caller.
    """
    return CopyError(
        f"the copy was altered or damaged ({how}), and is not used",
        where=name,
        remedy="take another copy",
    )


def newer(name: str, program: str) -> CopyError:
    """Say that a copy comes from a later version.

    Parameters
    ----------
    name : str
        Of the copy.
    program : str
        Version that made it.

    Returns
    -------
    CopyError
        To be raised by the caller.
    """
    return CopyError(
        f"the copy was made by a later version ({program[:60]}), and is not used",
        where=name,
        remedy="bring the program up to date first",
    )
