"""The table of security checks names tests that exist, and says where something is not met."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
ROWS = [
    [cell.strip() for cell in line.strip("| \n").split(" | ")]
    for line in (ROOT / "tests" / "asvs.md").read_text(encoding="utf-8").splitlines()
    if re.match(r"\| \d", line)
]


def test_a_row_names_a_test_that_exists_or_says_that_it_is_not_met() -> None:
    assert len(ROWS) > 90
    left, gone = [], []
    for row in ROWS:
        named = re.findall(r"`(tests/\S+?)::(test_\w+)`", row[-1])
        if not (named or "*not met*" in row[3] or "*the proxy's to do*" in row[3]):
            left.append(row[0])
        for path, name in named:
            text = (ROOT / path).read_text(encoding="utf-8")
            if not re.search(rf"^def {name}\(", text, flags=re.M):
                gone.append(f"{row[0]}: {path} has no {name}")
    assert left == [] and gone == []


def test_the_items_stand_in_order_and_once() -> None:
    numbers = [tuple(map(int, row[0].split("."))) for row in ROWS]
    assert numbers == sorted(set(numbers))
