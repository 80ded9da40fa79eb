"""Other ways of writing a label that are the same label."""

from __future__ import annotations

import random
import unicodedata

_WIDE = {chr(code): chr(code + 0xFEE0) for code in range(0x21, 0x7F)}
_MARKS = "-.'’ /&,·"


def spelt(name: str, chance: random.Random) -> str:
    """Write a name with other capitals, widths, accents, marks and blanks."""
    out = []
    for sign in name:
        one = (
            sign.upper()
            if chance.random() < 0.4
            else sign.lower()
            if chance.random() < 0.4
            else sign
        )
        if sign.isascii() and sign.isalpha() and chance.random() < 0.2:
            one += chance.choice("\u0301\u0308\u0327")
        if chance.random() < 0.2:
            one = "".join(_WIDE.get(part, part) for part in one)
        if sign.isalnum():
            out.append(one)
        if chance.random() < 0.2:
            out.append(chance.choice(_MARKS))
    form = chance.choice(("NFC", "NFD"))
    return chance.choice(("", " ")) + unicodedata.normalize(form, "".join(out))
