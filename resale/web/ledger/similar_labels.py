"""Labels so much alike that they may be one: for a lead to look at, never joined by itself."""

from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz import fuzz, process

from resale.garments.labels.label_key import label_key
from resale.storage.items.label_rows import LabelLine

# Of 100; below this a likeness of names is more often chance than meaning, as tried by hand.
LIKE_ENOUGH = 88.0
# Short names differ in a letter and are other names.
SHORTEST = 5
MOST_LABELS, MOST_PAIRS = 3_000, 12


def alike(lines: Sequence[LabelLine]) -> list[tuple[LabelLine, LabelLine]]:
    """Pairs of labels that may be one, the likest first: the rarer, then the more frequent."""
    looked = sorted(lines, key=lambda line: -line.items)[:MOST_LABELS]
    keys = [label_key(line.name) for line in looked]
    found = []
    for place, key in enumerate(keys):
        if len(key) < SHORTEST:
            continue
        near = process.extractOne(key, keys[:place], scorer=fuzz.ratio, score_cutoff=LIKE_ENOUGH)
        if near is not None:
            found.append((-near[1], looked[place], looked[near[2]]))
    found.sort(key=lambda pair: pair[0])
    return [(rarer, other) for _, rarer, other in found[:MOST_PAIRS]]
