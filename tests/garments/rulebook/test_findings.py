"""A finding in the short form: which gate an extent meets at a place, and what 'none' is left."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from resale.garments.rulebook.findings import FindingText

CAP = {"tier_cap": "budget", "reason": "Seen at once."}
FORCE = {"route": "pass_on", "reason": "Nothing holds it."}


def text(**more: Any) -> FindingText:
    given: dict[str, Any] = {
        "extents": ["a pinhead", "a pea", "a coin", "a palm", "all over"],
        "hidden": [0.95, 0.9, 0.85, 0.8, 0.7],
        "seen": [0.9, 0.8, 0.7, 0.6, 0.5],
        "doubt": 0.1,
        "hidden_share": [0.05, 0.04, 0.03, 0.02, 0.01],
        "seen_share": [0.05, 0.04, 0.03, 0.02, 0.01],
        "reason": "Made up.",
    }
    return FindingText.model_validate({**given, **more})


def gates(finding: FindingText) -> dict[str, str | None]:
    """What decides each option: the reason of its gate."""
    return {row["id"]: row["gate"] and row["gate"]["reason"] for row in finding.options()}


@pytest.mark.parametrize(
    ("place", "met"),
    [
        ("hidden", {"hidden_3", "hidden_4", "hidden_5"}),
        ("seen", {"seen_3", "seen_4", "seen_5"}),
        ("any", {"hidden_3", "hidden_4", "hidden_5", "seen_3", "seen_4", "seen_5"}),
    ],
)
def test_a_gate_holds_at_its_place_from_its_extent_on(place: str, met: set[str]) -> None:
    found = gates(text(gates=[{**CAP, "place": place, "from_extent": 3}]))
    assert {option for option, reason in found.items() if reason} == met


def test_of_two_gates_that_are_met_the_later_in_the_file_decides() -> None:
    found = gates(
        text(
            gates=[
                {**CAP, "place": "any", "from_extent": 2},
                {**FORCE, "place": "seen", "from_extent": 4},
            ]
        )
    )
    assert found["none"] is None
    assert [found[f"seen_{extent}"] for extent in range(1, 6)] == [
        None,
        CAP["reason"],
        CAP["reason"],
        FORCE["reason"],
        FORCE["reason"],
    ]
    assert found["hidden_5"] == CAP["reason"]


def test_looked_at_and_none_found_meets_no_gate() -> None:
    """Also where the gate begins at the least there can be."""
    found = gates(text(gates=[{**CAP, "place": "any", "from_extent": 1}]))
    assert found["none"] is None
    assert None not in [found[f"{place}_1"] for place in ("hidden", "seen")]


def test_shares_that_fill_the_whole_leave_none_for_none() -> None:
    # Eighths and sixteenths: their sum is 1 in binary too.
    whole = {"hidden_share": [0.125] * 5, "seen_share": [0.125, 0.0625, 0.0625, 0.0625, 0.0625]}
    with pytest.raises(ValidationError, match="leave no share for 'none'"):
        text(**whole)
    assert text().options()[0]["share"] == pytest.approx(0.7)
