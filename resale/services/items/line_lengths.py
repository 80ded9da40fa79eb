"""How many characters the lines beside the signs may have."""

from __future__ import annotations

from collections.abc import Mapping

LONGEST = {"label": 80, "size": 30, "tape": 30, "care": 300, "note": 400}


def too_long(lines: Mapping[str, str]) -> dict[str, str]:
    """Say which of label, size and note have too many characters."""
    return {
        name: f"The {name} has {len(text)} characters; shorten it to {LONGEST[name]}."
        for name, text in lines.items()
        if len(text) > LONGEST[name]
    }
