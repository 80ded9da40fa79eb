"""Make the invented shop's second looks anew: `python demo_data/second_looks.py`.

Four people read the same clothes, without seeing each other's answers; nobody here exists. Orla
leads. Brenn reads pilling a step too kind. Cato hurries, and what he reads in haste is often off.
Dwyn takes her time but mixes up what buttons are made of. Stitches are counted over a gauge, and
there all four agree. The clothes were picked for practice: whatever has pills, shirts whose
stitches were counted or buttons looked at, and every third of the other shirts.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
from asked_folder import asked_folder
from streams import stream

from resale.errors import ReadingError
from resale.garments.measures.grading import measure
from resale.garments.rulebook.rule_book import load_rule_book
from resale.garments.rulebook.signals import Signal

KINDS = ("shirt", "trousers", "jacket")
CLEAR = "grade_5"
SIGNALS = (
    "stitch_density",
    "collar_edge",
    "shirt_match_pocket",
    "shirt_button",
    "button_shank",
    "cuff_edge",
    "side_gusset",
    "seam_inside",
    "pilling",
    "fading",
    "stain",
    "odour",
)
PEOPLE = {"Orla": "lead", "Brenn": "sorter", "Cato": "sorter", "Dwyn": "sorter"}
SECONDS = {"Orla": 50.0, "Brenn": 46.0, "Cato": 24.0, "Dwyn": 62.0}
HEAD = ("item", "kind", "sorter", "role", "seconds", *SIGNALS)
SLIP, COUNTED_SLIP = 0.025, 0.01
TOO_KIND, MIXED_UP, HASTE = 0.75, 0.50, 0.65


def rows(items: list[dict[str, str]]) -> Iterator[dict[str, str]]:
    """Read every piece by all four, one after another."""
    kinds = load_rule_book().kinds
    for item in items:
        kind = kinds[item["kind"]]
        true = {
            signal_id: _option(kind.by_id[signal_id], item[signal_id])
            for signal_id in SIGNALS
            if signal_id in kind.by_id
        }
        for sorter, role in PEOPLE.items():
            dice = stream("second looks", item["item"], sorter)
            seconds = SECONDS[sorter] * float(np.exp(0.45 * dice.standard_normal()))
            chances = dict(zip(SIGNALS, dice.random((len(SIGNALS), 2)).tolist(), strict=True))
            row = {
                "item": item["item"],
                "kind": kind.id,
                "sorter": sorter,
                "role": role,
                "seconds": f"{seconds:.1f}",
            }
            for signal_id, place in true.items():
                if place >= 0:
                    signal = kind.by_id[signal_id]
                    said = _read(signal, place, sorter, seconds, chances[signal_id])
                    row[signal_id] = signal.option_ids[said]
            yield row


def picked(items: list[dict[str, str]]) -> list[dict[str, str]]:
    """Pick for practice: pieces that have something to tell, and every third other shirt."""
    telling = [
        row
        for row in items
        if row["pilling"] not in {CLEAR, ""} or row["stitch_density"] or row["shirt_button"]
    ]
    others = [row for row in items if row not in telling and row["kind"] == KINDS[0]]
    return sorted([*telling, *others[::3]], key=lambda row: row["item"])


def _option(signal: Signal, cell: str) -> int:
    """Place of the option in a cell; a measure is graded, an empty cell is -1."""
    if cell in signal.option_ids:
        return signal.option_ids.index(cell)
    try:
        graded = measure(signal, cell).option_id if cell and signal.measure else None
    except ReadingError:
        graded = None
    return signal.option_ids.index(graded) if graded else -1


def _read(signal: Signal, place: int, sorter: str, seconds: float, chance: list[float]) -> int:
    last = len(signal.options) - 1
    if sorter == "Brenn" and signal.id == "pilling" and chance[0] < TOO_KIND:
        return min(place + 1, last)
    if chance[0] >= _slip(signal, sorter, seconds):
        return place
    if signal.shape == "choice":
        other = int(chance[1] * last)
        return other + (other >= place)
    step = place + (1 if chance[1] < 0.5 else -1)
    return step if 0 <= step <= last else 2 * place - step


def _slip(signal: Signal, sorter: str, seconds: float) -> float:
    if signal.id == "stitch_density":
        return COUNTED_SLIP
    if sorter == "Dwyn" and signal.id == "shirt_button":
        return MIXED_UP
    if sorter == "Cato":
        return SLIP + HASTE * float(np.exp(-seconds / 14))
    return SLIP


def make(folder: Path, source: Path) -> Mapping[str, int]:
    """Write second_looks.csv into a folder from the items on hand in another."""
    with (source / "items.csv").open(encoding="utf-8", newline="") as file:
        items = picked([row for row in csv.DictReader(file) if row["kind"] in KINDS])
    written = list(rows(items))
    with (folder / "second_looks.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        table.writeheader()
        table.writerows(written)
    return {"items": len(items), "readings": len(written)}


if __name__ == "__main__":
    here = Path(__file__).parent
    make(asked_folder("Make what the invented readers read."), here)
