"""Models that others may reach for, each in several settings."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd
from libraries import library
from sklearn.linear_model import RidgeCV

Guess = Callable[[pd.DataFrame, np.ndarray, pd.DataFrame], np.ndarray]


def as_numbers(items: pd.DataFrame) -> pd.DataFrame:
    """Ladders as integers; other words stay categories."""
    shown = items.copy()
    for name in items:
        if isinstance(items[name].dtype, pd.CategoricalDtype) and items[name].cat.ordered:
            shown[name] = items[name].cat.codes.astype(float)
    return shown


def boosted_trees(*, ladders: bool, small: bool) -> Guess:
    """Gradient boosted trees, by default or with leaves small enough for few sales."""
    settings = (
        {"min_child_samples": 5, "num_leaves": 15, "learning_rate": 0.05, "n_estimators": 300}
        if small
        else {}
    )

    def guess(learn: pd.DataFrame, target: np.ndarray, judge: pd.DataFrame) -> np.ndarray:
        if ladders:
            learn, judge = as_numbers(learn), as_numbers(judge)
        model = library("lightgbm").LGBMRegressor(verbose=-1, n_jobs=1, random_state=0, **settings)
        return model.fit(learn, target).predict(judge)

    return guess


def boosted_curves(*, ladders: bool) -> Guess:
    """Boosted additive curves with pairs, its own default settings."""

    def guess(learn: pd.DataFrame, target: np.ndarray, judge: pd.DataFrame) -> np.ndarray:
        if ladders:
            learn, judge = as_numbers(learn), as_numbers(judge)
        model = library("interpret.glassbox").ExplainableBoostingRegressor(n_jobs=1, random_state=0)
        return model.fit(learn, target).predict(judge)

    return guess


def cross_validated_ridge(*, logs: bool) -> Guess:
    """Ridge on indicators and standardised numbers, raw or in logs where all are positive."""

    def guess(learn: pd.DataFrame, target: np.ndarray, judge: pd.DataFrame) -> np.ndarray:
        numbers = list(learn.select_dtypes("number"))
        both = pd.concat([learn, judge])
        if logs:
            positive = [name for name in numbers if both[name].min() > 0]
            both[positive] = np.log(both[positive])
        both[numbers] = both[numbers].fillna(both[numbers].iloc[: len(learn)].mean())
        wide = pd.get_dummies(both).to_numpy(dtype=float)
        fitted, rest = wide[: len(learn)], wide[len(learn) :]
        centre, spread = fitted.mean(axis=0), fitted.std(axis=0)
        spread[spread == 0] = 1.0
        model = RidgeCV(np.logspace(-3, 3, 25)).fit((fitted - centre) / spread, target)
        return model.predict((rest - centre) / spread)

    return guess


RIVALS: dict[str, dict[str, Guess]] = {
    "LightGBM": {
        f"{words} {size}": boosted_trees(ladders=words == "codes", small=size == "small leaves")
        for words in ("categories", "codes")
        for size in ("default", "small leaves")
    },
    "EBM": {
        "categories": boosted_curves(ladders=False),
        "codes": boosted_curves(ladders=True),
    },
    "ridge": {
        "raw": cross_validated_ridge(logs=False),
        "logs": cross_validated_ridge(logs=True),
    },
}


def ways_for(items: pd.DataFrame) -> Iterator[tuple[str, str, Guess]]:
    """Yield every rival in every setting that makes a difference to these items."""
    ladders = not as_numbers(items).equals(items)
    for rival, ways in RIVALS.items():
        for way, guess in ways.items():
            if ladders or not way.startswith("codes"):
                yield rival, way, guess
