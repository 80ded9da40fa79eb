"""Letters that paper would not show, said before it is printed."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass

from resale.selling.tickets.typeface import drawable

# Words named in one sentence; more of them help nobody.
_NAMED = 5


def lost_letters(said: object) -> str:
    """Say which words of a paper cannot be printed as they are written.

    Parameters
    ----------
    said : object
        Texts, or what holds them: tickets, a statement, a list of either.

    Returns
    -------
    str
        One sentence; empty where every letter prints.

    Examples
    --------
    >>> lost_letters(["Ťažký kabát", "寿司"])[:24]
    'On paper 寿司 stands as ??'
    """
    lost = list(dict.fromkeys(word for text in _texts(said) for word in _lost(text)))
    if not lost:
        return ""
    words = ", ".join(f"{word} stands as {drawable(word)}" for word in lost[:_NAMED])
    more = f", and so do {len(lost) - _NAMED} more" if len(lost) > _NAMED else ""
    it = "it" if len(lost) == 1 else "them"
    return (
        f"On paper {words}{more}: no typeface here has these letters. "
        f"Write {it} in other letters first."
    )


def _lost(text: str) -> Iterator[str]:
    if text.isascii():
        return
    for word in text.split():
        # A letter that prints without its mark, or as its plain form, can be read.
        if drawable(word).count("?") > unicodedata.normalize("NFKC", word).count("?"):
            yield word


def _texts(said: object) -> Iterator[str]:
    if isinstance(said, str):
        yield said
    elif is_dataclass(said):
        for field in fields(said):
            yield from _texts(getattr(said, field.name))
    elif isinstance(said, Mapping):
        yield from _texts(said.values())
    elif isinstance(said, Iterable):
        for one in said:
            yield from _texts(one)
