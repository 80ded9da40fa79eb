"""What the typeface can draw, asked without any paper."""

from __future__ import annotations

import unicodedata
from functools import cache

from resale.fonts import BOLD, REGULAR

FILES = {"": REGULAR, "B": BOLD}


def drawable(text: str) -> str:
    """Replace what the typeface cannot draw: by its plain letters, or by a question mark.

    Examples
    --------
    >>> drawable("￥1,200  ﬁne"), drawable("寿司")
    ('¥1,200 fine', '??')
    """
    known = _known()
    plain = " ".join(unicodedata.normalize("NFKC", text).split())
    if all(ord(letter) in known for letter in plain):
        return plain
    return "".join(letter if ord(letter) in known else _plain_letter(letter) for letter in plain)


def can_draw(text: str) -> bool:
    """Say whether every letter of a text, in its plain form, is in the typeface."""
    return all(ord(letter) in _known() for letter in unicodedata.normalize("NFKC", text))


def _plain_letter(letter: str) -> str:
    bare = unicodedata.normalize("NFKD", letter)
    printable = "".join(part for part in bare if ord(part) in _known())
    return printable or "?"


@cache
def _known() -> frozenset[int]:
    """Code points that both weights draw."""
    # Half a second to load, for which whoever asks for no letter need not wait.
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    drawn = []
    for path in FILES.values():
        with TTFont(path, lazy=True) as font:
            drawn.append(frozenset(font.getBestCmap()))
    return frozenset.intersection(*drawn)
