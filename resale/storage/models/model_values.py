"""A price model as a dict of arrays and plain values, and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.conformal import Scores
from resale.pricing.valuation.price_tables import KindTable, PriceModel

_TABLE_ARRAYS = ("starts", "rules", "sales", "covariance", "gaps", "points", "tell_weight")


def to_plain(model: PriceModel) -> dict[str, Any]:
    """Take a model apart: no class of ours is left, so no later change of a class breaks a file."""
    return {
        "kinds": {kind: _plain_table(table) for kind, table in model.tables.items()},
        "labels": list(model.labels),
        "seasons": list(model.seasons),
        "noise": float(model.noise),
        "sales": float(model.sales),
        "drift": float(model.drift),
        "scores": np.asarray(model.scores.pooled),
        "scores_by_kind": {str(k): np.asarray(v) for k, v in model.scores.by_group.items()},
        "sales_by_kind": {str(k): int(v) for k, v in model.scores.counts.items()},
        "rule_book": [model.book_version, model.book_fingerprint],
    }


def _plain_table(table: KindTable) -> dict[str, Any]:
    return {
        "signals": list(table.signals),
        "anchor": float(table.anchor),
        "level": float(table.level),
        "sold": int(table.sold),
        "smearing": float(table.smearing),
        "slope": float(table.slope),
        **{name: np.ascontiguousarray(getattr(table, name)) for name in _TABLE_ARRAYS},
    }


def _table(kind: str, stored: Mapping[str, Any], plain: Mapping[str, Any]) -> KindTable:
    """Return the table of one kind; what models of format 1 did not have is as it was then."""
    filled = {**stored, "signals": tuple(stored["signals"])}
    if "slope" not in stored:
        # One factor from median to mean served all kinds, and no sign was a tell of make.
        options, signals = len(stored["rules"]), len(stored["signals"])
        filled |= {"smearing": stored.get("smearing", plain.get("smearing", 1.0)), "slope": 0.0}
        filled |= {"points": np.zeros((2, options)), "tell_weight": np.zeros((2, signals))}
        filled["covariance"] = np.pad(stored["covariance"], (0, 1))
    return KindTable(kind=kind, **filled)


def from_plain(plain: Mapping[str, Any], book: RuleBook) -> PriceModel:
    """Put a model together again, exactly as it was.

    Parameters
    ----------
    plain : mapping
        Numbers, texts and arrays, as they were written.
    book : RuleBook
        By which it was fitted.

    Returns
    -------
    PriceModel

    Raises
    ------
    ValueError
        If the tables are those of another rule book.
    """
    tables = {kind: _table(kind, table, plain) for kind, table in plain["kinds"].items()}
    version, fingerprint = plain["rule_book"]
    if tuple(tables) != tuple(book.kinds) or fingerprint != book.fingerprint:
        raise ValueError("the tables are of another rule book than the manifest says")
    return PriceModel(
        tables=tables,
        labels=tuple(plain["labels"]),
        seasons=tuple(plain["seasons"]),
        noise=plain["noise"],
        scores=Scores(
            plain["scores"],
            {int(k): v for k, v in plain["scores_by_kind"].items()},
            {int(k): v for k, v in plain["sales_by_kind"].items()},
        ),
        sales=plain["sales"],
        book_version=version,
        book_fingerprint=fingerprint,
        drift=plain.get("drift", 0.0),
    )
