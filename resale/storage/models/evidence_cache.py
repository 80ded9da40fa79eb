"""What models that had not seen them said of past sales, kept: working it out takes a while."""

from __future__ import annotations

import hashlib
from dataclasses import fields
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np

from resale.pricing.evaluation.cross_validation import COVERAGES, FOLDS, Guesses, ValidationSales
from resale.pricing.model.columns.terms import Array
from resale.whole_file import whole_file

FOLDER = "evidence"
# Raised when sales are held out or judged another way, so that older files are passed over.
FORMAT = 1
_PLAIN = ("sale", "kinds", "sold_on", "price", "learned_from", "forward")


def evidence_path(
    folder: Path, sales: str, book: str, half_life: float, old_wear_counts: float = 1.0
) -> Path:
    """Where the judgements of some sales are kept.

    Parameters
    ----------
    sales, book : str
        Fingerprints of the sales, with the days on which they were made, and of the rule book.
    """
    identity = f"{FORMAT} {FOLDS} {COVERAGES} {sales} {book} {half_life:g} {old_wear_counts:g}"
    return folder / FOLDER / f"{hashlib.sha256(identity.encode()).hexdigest()[:32]}.npz"


def store_evidence(path: Path, validation: ValidationSales) -> None:
    """Keep judgements; whole or not at all.

    Parameters
    ----------
    path : Path
        The file.
    validation : ValidationSales
    """
    plain: dict[str, Any] = {name: np.asarray(getattr(validation, name)) for name in _PLAIN}
    for who in ("model", "rules"):
        guesses = getattr(validation, who)
        plain |= {f"{who}_{one.name}": getattr(guesses, one.name) for one in fields(Guesses)}
    path.parent.mkdir(exist_ok=True)
    # Given a name, the library would add an ending of its own.
    with whole_file(path) as draft, draft.open("wb") as file:
        np.savez_compressed(file, **plain)


def stored_evidence(path: Path) -> ValidationSales | None:
    """Read judgements; None where there are none, or the file cannot be read."""
    try:
        # Arrays alone: a file that was tampered with cannot run anything.
        with np.load(path, allow_pickle=False) as archive:
            found = {name: archive[name] for name in archive.files}
        model, rules = (_guesses(found, who) for who in ("model", "rules"))
        return ValidationSales(
            found["sale"],
            found["kinds"],
            found["sold_on"],
            found["price"],
            found["learned_from"],
            model,
            rules,
            bool(found["forward"]),
        )
    except (OSError, KeyError, ValueError, BadZipFile):
        return None


def _guesses(found: dict[str, Array], who: str) -> Guesses:
    return Guesses(*(found[f"{who}_{one.name}"] for one in fields(Guesses)))
