"""A whole example of every body that a device may send; a test sends each of them.

Things, names and numbers are invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

JACKET: Mapping[str, Any] = {
    "kind": "jacket",
    "label": "Harrowmere",
    "size": "50",
    "care": "dry clean only",
    "note": "navy, three buttons",
    "readings": {"cuff_buttons": "working", "stain": "hidden 2", "fibre_shell": "100% wool"},
    "looks": {"look_pockets": "nothing"},
}

EXAMPLES: Mapping[str, Mapping[str, Any]] = {
    "value": JACKET,
    "values": {"items": [JACKET, {"kind": "shirt"}]},
    "save": {**JACKET, "changes_kind": False, "key": "bench-2026-03-31-001"},
    "happened": {
        "what": "sold",
        "amount_minor": 2450,
        "payment": "card",
        "day": "2026-03-31",
        "note": "to a regular",
        "key": "till-2026-03-31-001",
    },
    "sale": {
        "lines": [
            {"number": "Q-00001"},
            {"number": "Q-00002", "price_minor": 3000, "discount_minor": 500},
        ],
        "paid": [{"payment": "card", "amount_minor": 2000}, {"payment": "cash"}],
        "discount_reason": "A seam came open",
        "day": "2026-03-31",
        "note": "",
        "key": "till-2026-03-31-002",
    },
    "correct": {
        "event": 12,
        "never": False,
        "amount_minor": 2400,
        "payment": "cash",
        "day": "2026-03-31",
        "note": "typed one too many",
        "key": "till-2026-03-31-003",
    },
    "closing": {
        "counted_minor": 18450,
        "note": "counted by two",
        "key": "till-2026-03-31-close",
    },
    "hold_item": {"hold": "mould", "note": "spots inside the lining", "key": "bench-hold-001"},
    "clear_item": {
        "lead": "Ottoline",
        "reason": "Brushed out, aired for a week, looked at again: nothing left",
        "confirmed": [],
        "mistake": True,
        "early": False,
        "key": "bench-clear-001",
    },
}
"""By the name of the operation."""
