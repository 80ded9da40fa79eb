"""Make the invented shop's second looks anew: `python demo_data/second_looks.py`.

Four people read the same clothes, without seeing each other's answers; nobody here exists. Orla
leads. Brenn reads pilling a step too kind. Cato hurries, and what he reads in haste is often off.
Dwyn takes her time but mixes up what buttons are made of. Stitches are counted over a gauge, and
there all four agree. The clothes were picked for practice: whatever has pills, shirts whose
stitches were counted or buttons looked at, and every third of the other shirts. They were read over
twelve weeks. What Brenn was to drill was written down before; until its day he reads it wrong one
time in four more, from then on like the others. Dwyn's drilling, in an order written down as well,
changed nothing. In haste Cato does not look at what takes turning inside out.
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
HEAD = ("item", "kind", "sorter", "role", "days_ago", "seconds", *SIGNALS)
ORDERS = "introductions.csv"
DAYS = 84
SLIP, COUNTED_SLIP = 0.025, 0.01
TOO_KIND, MIXED_UP, HASTE = 0.75, 0.50, 0.65
BEFORE_DRILL = 0.25
"""What drilling took away from Brenn: the answer that the comparison has to find."""

STARTS = {
    "Brenn": {"shirt_match_pocket": 36, "fading": 32, "side_gusset": 29, "seam_inside": 18},
    "Dwyn": {"side_gusset": 35, "pilling": 32, "fading": 21, "seam_inside": 21},
}
"""Days ago from which each sign was drilled; signs not named were left alone."""

INSIDE_OUT = frozenset({"seam_inside", "side_gusset", "button_shank"})


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
        days_ago = int(stream("second looks", "day", item["item"]).integers(1, DAYS + 1))
        for sorter, role in PEOPLE.items():
            dice = stream("second looks", item["item"], sorter)
            seconds = SECONDS[sorter] * float(np.exp(0.45 * dice.standard_normal()))
            chances = dict(zip(SIGNALS, dice.random((len(SIGNALS), 2)).tolist(), strict=True))
            row = {
                "item": item["item"],
                "kind": kind.id,
                "sorter": sorter,
                "role": role,
                "days_ago": str(days_ago),
                "seconds": f"{seconds:.1f}",
            }
            for signal_id, place in true.items():
                if place >= 0 and not _passed_over(item["item"], sorter, signal_id, seconds):
                    signal = kind.by_id[signal_id]
                    slip = _slip(signal, sorter, seconds) + _undrilled(sorter, signal_id, days_ago)
                    said = _read(signal, place, sorter, slip, chances[signal_id])
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


def _read(signal: Signal, place: int, sorter: str, slip: float, chance: list[float]) -> int:
    last = len(signal.options) - 1
    if sorter == "Brenn" and signal.id == "pilling" and chance[0] < TOO_KIND:
        return min(place + 1, last)
    if chance[0] >= slip:
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


def _undrilled(sorter: str, signal_id: str, days_ago: int) -> float:
    """Chance of a slip more while the drilling that helps has not begun."""
    start = STARTS["Brenn"].get(signal_id) if sorter == "Brenn" else None
    return BEFORE_DRILL if start is not None and days_ago > start else 0.0


def _passed_over(item: str, sorter: str, signal_id: str, seconds: float) -> bool:
    """Whether somebody in haste did not look."""
    if sorter != "Cato" or signal_id not in INSIDE_OUT:
        return False
    dice = stream("passed over", item, sorter, signal_id)
    return bool(dice.random() < float(np.exp(-seconds / 20)))


def make(folder: Path, source: Path) -> Mapping[str, int]:
    """Write second_looks.csv into a folder from the items on hand in another."""
    with (source / "items.csv").open(encoding="utf-8", newline="") as file:
        items = picked([row for row in csv.DictReader(file) if row["kind"] in KINDS])
    written = list(rows(items))
    with (folder / "second_looks.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, HEAD, restval="", lineterminator="\n")
        table.writeheader()
        table.writerows(written)
    with (folder / ORDERS).open("w", encoding="utf-8", newline="") as file:
        orders = csv.writer(file, lineterminator="\n")
        orders.writerow(("sorter", "signal", "days_ago"))
        orders.writerows(
            (sorter, signal, days) for sorter, by in STARTS.items() for signal, days in by.items()
        )
    return {"items": len(items), "readings": len(written)}


if __name__ == "__main__":
    here = Path(__file__).parent
    make(asked_folder("Make what the invented readers read."), here)
