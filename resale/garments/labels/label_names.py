"""What a shop calls each label: spellings that were joined have one name, others their own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from resale.garments.labels.label_key import label_key


@dataclass(frozen=True)
class LabelNames:
    """Names of labels by the key of what is written on the thing.

    Attributes
    ----------
    names : mapping of str to str
        What a key is called. A name with another key joins the two: things marked with the first
        are things of the second.
    """

    names: Mapping[str, str] = field(default_factory=dict)

    def name_of(self, text: str) -> str:
        """What the shop calls a label that is written so; an unknown one keeps its spelling."""
        name, key = " ".join(text.split()), label_key(text)
        met: set[str] = set()
        while key and key in self.names and key not in met:
            met.add(key)
            name = self.names[key]
            key = label_key(name)
        return name

    def key_of(self, text: str) -> str:
        """Key of the label that a spelling belongs to."""
        return label_key(self.name_of(text))


def common_names(labels: Iterable[str]) -> dict[str, str]:
    """Give each key met the spelling that is met most often.

    Returns
    -------
    dict of str to str
        By key; among equals the first of the alphabet, so that the same list gives the same names.
    """
    written: dict[str, Counter[str]] = {}
    for label, count in Counter(labels).items():
        if label.strip():
            written.setdefault(label_key(label), Counter())[" ".join(label.split())] += count
    return {
        key: min(counts, key=lambda word: (-counts[word], word)) for key, counts in written.items()
    }
