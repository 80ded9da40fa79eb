"""By which words an item is found: number, kind, label, size, note, and what was read of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from resale.garments.fibres.names import fold
from resale.storage.db.tables import ItemRow

LONGEST = 40
# What was looked for and not found is no word of the thing: nobody asks for what has no moth.
_NOTHING = ("none", "nothing", "no ", "not ")
_PARTS = re.compile(r"[\w-]+")


def words_in(text: str) -> Iterator[str]:
    """Part a text into words as they are kept and asked for: folded, without signs.

    Examples
    --------
    >>> list(words_in("Größe 52, double-breasted"))
    ['grosse', '52', 'double-breasted', 'double', 'breasted']
    """
    for word in _PARTS.findall(fold(text)):
        whole = word.strip("-_")[:LONGEST]
        parts = [one for one in re.split(r"[-_]", whole) if one]
        yield from dict.fromkeys([whole, *parts] if whole else [])


def words_of(item: ItemRow, result: dict[str, Any], inputs: dict[str, Any]) -> frozenset[str]:
    """Gather the words of an item.

    Parameters
    ----------
    item : ItemRow
    result : dict
        Its newest valuation as it is stored, in whatever form.
    inputs : dict
        What was entered with it.
    """
    texts = [item.number, item.label, item.label_written, item.size, item.note]
    texts += [str(result.get("kind_name", "")), str(result.get("kind_plural", ""))]
    texts += map(str, inputs.get("typed", {}).values())
    texts += _signs(result.get("contributions", result.get("rows", ())))
    number = item.number.rpartition("-")[2].lstrip("0")
    return frozenset(
        [*(word for text in texts for word in words_in(text)), *filter(None, [number])]
    )


def _signs(rows: Iterable[dict[str, Any]]) -> Iterator[str]:
    for row in rows:
        option = str(row.get("option", ""))
        if option and not option.casefold().startswith(_NOTHING):
            yield f"{row.get('name', '')} {option}"
