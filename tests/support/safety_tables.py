"""Hazardous intakes and harmless look-alikes, as a careless sorter would save them."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from looked_over import FINE

from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.required_looks import required_looks

BOOK = load_rule_book()
TABLES = Path(__file__).parents[1] / "safety" / "tables"
MOST_HELD = 3
# How the words of a label are typed where they speak of another part than the shell.
WHERE = {"shell": "", "lining": "100% wool; lining: ", "trim": "100% wool; trim: "}


def rows(name: str) -> list[dict[str, str]]:
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return [
            {k: v or "" for k, v in row.items()} for row in csv.DictReader(file, delimiter="\t")
        ]


HAZARDS, HARMLESS = rows("hazardous_intakes.tsv"), rows("harmless_look_alikes.tsv")


def inputs_of(row: dict[str, str], *, asked_one_by_one: bool = False) -> dict[str, Any]:
    """The intake as a careless sorter saves it: 'nothing found' tapped, and 'no child'.

    `asked_one_by_one` answers the rest harmlessly too, so that nothing but the words can hold it.
    """
    inputs: dict[str, Any] = {"kind": row["kind"], "choices": {}, "typed": {}, "note": ""}
    inputs["size"] = row["size"]
    if row["field"] == "note":
        inputs["note"] = row["text"]
    else:
        inputs["typed"] = {"fibre_shell": WHERE[row["field"]] + row["text"]}
    inputs["looks"] = {"look_child": "no"}
    for one in required_looks(BOOK.kinds[row["kind"]], inputs):
        fine = FINE.get(one.id, one.answers[0][0]) if asked_one_by_one else ""
        if (answer := one.harmless or fine) and not one.answer:
            place = "choices" if one.is_signal else "looks"
            inputs[place] = {**inputs[place], one.id: answer}
    return inputs
