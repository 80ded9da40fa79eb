"""A rule book of two kinds and three signals, and shops that sell by it. All invented."""

from dataclasses import replace

import numpy as np
import pandas as pd

from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.priors import Opinions, Priors

WEAR = ["worn", "good", "as new"]
SHARE = {
    "wear": dict(zip(WEAR, [0.2, 0.5, 0.3], strict=True)),
    "button": {"plastic": 0.7, "shell": 0.3},
    "sole": {"glued": 0.8, "sewn": 0.2},
}
EFFECT = {
    "wear": dict(zip(WEAR, [-0.4, 0.0, 0.2], strict=True)),
    "button": {"plastic": -0.05, "shell": 0.25},
    "sole": {"glued": 0.0, "sewn": 0.35},
}
USED = {"shirt": ("wear", "button"), "boot": ("wear", "sole")}
NOTHING = {"wear": None, "button": None, "sole": None}


def rule_book(**changes: object) -> Priors:
    """Two kinds; wear is a ladder that both share."""
    inputs = {
        (kind, name): Opinions(EFFECT[name], dict.fromkeys(EFFECT[name], 0.15), SHARE[name])
        for kind, names in USED.items()
        for name in names
    }
    book = Priors(
        inputs,
        anchor={"shirt": np.log(12.0), "boot": np.log(40.0)},
        anchor_doubt={"shirt": 0.3, "boot": 0.3},
        level_doubt=0.3,
        departure=0.5,
        noise=0.3,
        order={"wear": "rising"},
    )
    return replace(book, **changes)


def drawn(rng: np.random.Generator, count: int, seen: float = 0.8) -> pd.DataFrame:
    """Items drawn as commonly as the book says; some signals are not looked at."""
    items = pd.DataFrame({"kind": rng.choice(list(USED), count)})
    for name, share in SHARE.items():
        found = rng.choice(list(share), count, p=list(share.values()))
        asked = np.array([name in USED[kind] for kind in items["kind"]], dtype=bool)
        items[name] = np.where(asked & (rng.random(count) < seen), found, None)
    return items


def fitted(items: pd.DataFrame, price: np.ndarray, **changes: object) -> RulePriorRegressor:
    model = RulePriorRegressor(priors=rule_book(**changes), groups="kind")
    return model.fit(items, price)


def unsold(**changes: object) -> RulePriorRegressor:
    """A shop that has sold nothing yet."""
    return fitted(drawn(np.random.default_rng(0), 0), np.empty(0), **changes)


def priced(rng: np.random.Generator, items: pd.DataFrame, book: Priors) -> np.ndarray:
    """Prices as this book would have them, with its noise."""
    exact = RulePriorRegressor(priors=book, groups="kind").fit(items.head(0), np.empty(0))
    return exact.predict(items) * np.exp(rng.normal(scale=0.3, size=len(items)))


def true_book() -> Priors:
    """A shop where shell buttons are worth more and wear less than the book believes."""
    told = {
        "wear": dict(zip(WEAR, [-0.1, 0.0, 0.05], strict=True)),
        "button": {"plastic": -0.2, "shell": 0.6},
        "sole": {"glued": 0.0, "sewn": 0.1},
    }
    inputs = {
        (kind, name): Opinions(told[name], dict.fromkeys(told[name], 0.15), SHARE[name])
        for kind, names in USED.items()
        for name in names
    }
    anchor = {"shirt": np.log(9.0), "boot": np.log(60.0)}
    return rule_book(inputs=inputs, anchor=anchor)
