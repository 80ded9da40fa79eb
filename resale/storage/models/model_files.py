"""A price model as files: its arrays in one file, and a manifest that vouches for them.

No file of a model can run code (`model_arrays.py`). Its bytes are compared with the SHA-256 of the
manifest before they are read, which tells damage, not forgery: whoever can write one file can
write both.
"""

from __future__ import annotations

import hashlib
import platform
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from resale import __version__
from resale.errors import ModelFileError
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.price_tables import PriceModel
from resale.storage.models.model_arrays import from_bytes, to_bytes
from resale.storage.models.model_values import from_plain, to_plain
from resale.whole_file import whole_file

MANIFEST = "manifest.json"
FORMAT = 3
# Models of these were pickles (joblib's), which run what they are told to when they are opened.
PICKLED = frozenset({1, 2})
_FIT_AGAIN = "fit it again with 'resale learn'"
_LEARN_AGAIN = "let prices be learned again: 'resale fit', or 'resale learn' for a file of sales"

_Sha = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Manifest(BaseModel):
    """What is said of a stored model.

    Attributes
    ----------
    file, sha256, size : str, str, int
        Name of the file beside the manifest, the digest of its bytes, and how many.
    versions : dict of str to str
        Libraries that wrote it.
    sales, sales_by_kind : float, dict of str to int
        Past sales that it rests on; 0 is rules alone.
    data : str
        Fingerprint of the sales it was fitted to; empty where not given.
    created : date or None
        As the caller gave it.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: int
    file: Annotated[str, Field(pattern=r"^prices-[0-9a-f]{12}\.(npz|joblib)$")]
    sha256: _Sha
    size: int
    rule_book: str
    rule_book_sha256: _Sha
    sales: float
    sales_by_kind: dict[str, int]
    data: str
    versions: dict[str, str]
    created: date | None
    note: str

    @property
    def model_id(self) -> str:
        """Short name of the model: the first twelve digits of its SHA-256."""
        return self.sha256[:12]


def save_model(
    model: PriceModel, folder: Path, *, note: str = "", created: date | None = None, data: str = ""
) -> Manifest:
    """Store a model in a folder, in the place of the one that is there.

    Parameters
    ----------
    note : str
        A line for whoever reads the manifest.
    created : date, optional
        The day to write down; nothing here reads the clock.
    data : str
        Fingerprint of the sales; see `data_fingerprint`.

    Returns
    -------
    Manifest

    Raises
    ------
    ModelFileError
        If the folder cannot be written to.
    """
    content = to_bytes(to_plain(model))
    digest = hashlib.sha256(content).hexdigest()
    manifest = Manifest(
        format=FORMAT,
        file=f"prices-{digest[:12]}.npz",
        sha256=digest,
        size=len(content),
        rule_book=model.book_version,
        rule_book_sha256=model.book_fingerprint,
        sales=model.sales,
        sales_by_kind={kind: table.sold for kind, table in model.tables.items()},
        data=data,
        versions=_versions(),
        created=created,
        note=note,
    )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # The manifest goes last and in one step: until then the old model stays whole.
        _replace(folder / manifest.file, content)
        _replace(folder / MANIFEST, (manifest.model_dump_json(indent=2) + "\n").encode())
        for old in folder.glob("prices-*.*"):
            if old.name != manifest.file and old.suffix in {".npz", ".joblib"}:
                old.unlink(missing_ok=True)
    except OSError as fault:
        raise ModelFileError(
            f"the model cannot be written there ({fault.strerror})",
            where=str(folder),
            remedy="choose a folder that you may write to",
        ) from None
    return manifest


def read_manifest(folder: Path) -> Manifest:
    """Read what is said of the model in a folder, without opening the model.

    Raises
    ------
    ModelFileError
        If there is no manifest, or it does not say what it must.
    """
    path = folder / MANIFEST
    content = _read(path, "no model is kept there")
    try:
        manifest = Manifest.model_validate_json(content)
    except ValidationError as fault:
        first = fault.errors(include_url=False)[0]
        field = ".".join(str(step) for step in first["loc"])
        what = f"{field} is missing or wrong" if field else "the manifest is not a JSON object"
        raise ModelFileError(what, where=str(path), remedy=_FIT_AGAIN) from None
    if manifest.format in PICKLED:
        raise ModelFileError(
            "the model was stored by an earlier version, in a form that can run code when it is "
            "opened, so it was not",
            where=str(path),
            remedy=_LEARN_AGAIN,
        )
    if manifest.format != FORMAT:
        raise ModelFileError(
            f"the model is of format {manifest.format}, and this program reads format {FORMAT}",
            where=str(path),
            remedy=_FIT_AGAIN,
        )
    return manifest


def load_model(folder: Path, book: RuleBook) -> PriceModel:
    """Open the model in a folder, once its bytes are vouched for.

    Parameters
    ----------
    book : RuleBook
        The book that it must have been fitted with.

    Raises
    ------
    ModelFileError
        If it is missing, altered, cut short, or made for another rule book.
    """
    manifest = read_manifest(folder)
    if manifest.rule_book_sha256 != book.fingerprint:
        raise ModelFileError(
            f"the model was fitted with rule book {manifest.rule_book}, which reads otherwise "
            f"than the present one ({book.version})",
            where=str(folder),
            remedy=_FIT_AGAIN,
        )
    path = folder / manifest.file
    content = _read(path, "the model that the manifest names is missing")
    if len(content) < manifest.size:
        raise ModelFileError(
            f"the model is cut short: {len(content)} of {manifest.size} bytes are there",
            where=str(path),
            remedy=f"copy it again, or {_FIT_AGAIN}",
        )
    if hashlib.sha256(content).hexdigest() != manifest.sha256:
        raise ModelFileError(
            "the model is not the one that the manifest vouches for, and was not opened",
            where=str(path),
            remedy=f"copy it again from where it was made, or {_FIT_AGAIN}",
        )
    try:
        return from_plain(from_bytes(content), book)
    except Exception as fault:
        raise ModelFileError(
            f"the model cannot be read ({type(fault).__name__})",
            where=str(path),
            remedy=_FIT_AGAIN,
        ) from fault


def model_or_rules(folder: Path, book: RuleBook) -> tuple[PriceModel, str | None]:
    """Open the model in a folder, or fall back to the rule book alone.

    Parameters
    ----------
    folder : Path
    book : RuleBook

    Returns
    -------
    tuple of PriceModel and (str or None)
        The second is the sentence that says why it fell back; None where it did not.
    """
    try:
        return load_model(folder, book), None
    except ModelFileError as fault:
        return rules_alone(book), f"Prices follow the rule book alone: {fault.sentence}"


def data_fingerprint(readings: Readings, price: Array) -> str:
    """SHA-256 over the sales as read: the same sales in the same order give the same.

    Parameters
    ----------
    readings : Readings
        Of n sales.
    price : ndarray, shape (n,)
        In the shop's currency.

    Returns
    -------
    str
        In hexadecimal.
    """
    digest = hashlib.sha256()
    for part in (readings.kinds.astype("<i8"), readings.codes.astype("<i2"), price.astype("<f8")):
        digest.update(np.ascontiguousarray(part).tobytes())
    for words in (readings.labels, readings.seasons):
        digest.update("\0".join(words).encode() + b"\1")
    return digest.hexdigest()


# ---------------------------------------------------------------- files
def _read(path: Path, missing: str) -> bytes:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise ModelFileError(missing, where=str(path), remedy=_FIT_AGAIN) from None
    except OSError as fault:
        raise ModelFileError(
            f"the file cannot be read ({fault.strerror})", where=str(path), remedy=_FIT_AGAIN
        ) from None


def _replace(path: Path, content: bytes) -> None:
    with whole_file(path) as draft:
        draft.write_bytes(content)


def _versions() -> dict[str, str]:
    return {
        "resale": __version__,
        "python": platform.python_version(),
        "numpy": np.__version__,
        "scipy": version("scipy"),
        "scikit-learn": version("scikit-learn"),
    }
