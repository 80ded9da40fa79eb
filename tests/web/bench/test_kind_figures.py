"""Each kind has a figure of its own on the Bench, in one quiet line."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from resale.garments.rulebook.rule_book import load_rule_book

FIGURES = Path(__file__).parents[3] / "templates/bench/figures"
LINES = {"cut", "stitch", "dot"}
KINDS = sorted(load_rule_book().kinds)


def lines_of(kind: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring((FIGURES / f"{kind}.svg").read_text("utf-8")))  # noqa: S314


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_has_a_figure_in_the_same_lines_as_all(kind: str) -> None:
    """Outline, stitches and buttons, on one sheet, hidden from readers that hear its name."""
    text = (FIGURES / f"{kind}.svg").read_text("utf-8")
    assert 'class="drawing" viewBox="0 0 120 120" aria-hidden="true"' in text
    lines = lines_of(kind)
    assert {one.get("class") for one in lines} <= LINES
    assert {"cut", "stitch"} <= {one.get("class") for one in lines}
    # Nothing absolute lies off the sheet.
    starts = re.findall(r"M(-?[\d.]+)[ ,](-?[\d.]+)", text)
    assert starts and all(0 < float(a) < 120 and 0 < float(b) < 120 for a, b in starts)


def test_no_figure_is_a_copy_of_another() -> None:
    outlines = [
        "".join(one.get("d", "") for one in lines_of(kind) if one.get("class") == "cut")
        for kind in KINDS
    ]
    assert len(set(outlines)) == len(KINDS) >= 23
