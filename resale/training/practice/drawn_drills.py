"""The drills that are drawn: every family of drawings at every level."""

from __future__ import annotations

from functools import cache

from resale.training.drawings.exercise import LEVELS
from resale.training.drawings.families import FAMILIES
from resale.training.practice.schedule import Drill

# Seconds that one answer usually takes, where a family takes longer than a look.
SECONDS = {"stitches": 30.0, "allowance": 18.0, "back_seam": 18.0, "sole_left": 18.0, "cords": 20.0}
LOOK = 12.0


@cache
def drawn_drills() -> tuple[Drill, ...]:
    """Every family of drawings at every level."""
    return tuple(
        Drill(one.id, level, "", one.signal_ids, one.zone, SECONDS.get(one.id, LOOK))
        for one in FAMILIES.values()
        for level in LEVELS
    )
