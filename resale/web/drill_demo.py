"""The invented shop's people and their second looks."""

from __future__ import annotations

import csv

from resale.records.people import Role, add_person, has_owner
from resale.records.second_looks import NewLook, looks_count, save_looks
from resale.shipped import shipped
from resale.web.shop import Shop

FILE = "second_looks.csv"
OWNER = "Perpetua"
_NOT_SIGNALS = {"item", "kind", "sorter", "role", "seconds"}


def fill_demo_drill(shop: Shop) -> None:
    """Lay in the invented people and what they read twice, the first time only."""
    if not has_owner(shop.records):
        add_person(shop.records, OWNER, "owner", shop.now())
    if looks_count(shop.records):
        return
    with (shipped("demo_data") / FILE).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    ids = {}
    for row in rows:
        if row["sorter"] not in ids:
            role: Role = "lead" if row["role"] == "lead" else "sorter"
            ids[row["sorter"]] = add_person(shop.records, row["sorter"], role, shop.now()).id
    new = [
        NewLook(
            f"invented/{row['item']}/{row['sorter']}",
            row["item"],
            ids[row["sorter"]],
            {key: cell for key, cell in row.items() if cell and key not in _NOT_SIGNALS},
            {},
            float(row["seconds"]),
        )
        for row in rows
    ]
    save_looks(shop.records, new, shop.now())
