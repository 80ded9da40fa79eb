"""An item as a sorter looks it over who finds nothing: every required look answered harmlessly."""

from __future__ import annotations

from collections.abc import Mapping

from resale.garments.rulebook.rule_book import load_rule_book
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.safety.required_looks import required_looks

# Where the first answer of a sign is not the harmless one.
FINE = {
    "lock_keys": "no_lock",
    "bag_date": "readable",
    "pair_match": "matched",
    "swim_strip": "washed",
    "maker_doubt": "nothing_odd",
}


def answers(
    kind: str, readings: Mapping[str, str], **line: str
) -> tuple[dict[str, str], dict[str, str]]:
    """Give answers to signs and to looks that are still open, as the API wants them."""
    inputs = {"kind": kind, "choices": dict(readings), "looks": {}, **line}
    signs: dict[str, str] = {}
    looks: dict[str, str] = {}
    read = unsorted_kind() if kind == UNSORTED else load_rule_book().kinds[kind]
    for one in required_looks(read, inputs):
        fine = one.harmless or FINE.get(one.id, one.answers[0][0])
        if one.is_signal and not one.answer:
            signs[one.id] = fine
        elif not one.is_signal:
            looks[one.id] = fine
    return signs, looks


def looked_over(kind: str, readings: Mapping[str, str], **line: str) -> dict[str, str]:
    """Give the same as fields of the bench's form."""
    signs, looks = answers(kind, readings, **line)
    return {f"s-{name}": answer for name, answer in signs.items()} | {
        f"k-{name}": answer for name, answer in looks.items()
    }
