"""The key of a maker's label: the same for every way of writing the same name.

Case, width, accents, punctuation and spacing do not count; letters and figures do. Unicode Standard
Annex 15 (NFKD for widths and ligatures) and section 3.13 (case folding).
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

# Letters that Unicode does not take apart, though keyboards without them leave the stroke out.
_STROKES = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "ı": "i"}) | (
    str.maketrans({"æ": "ae", "œ": "oe", "þ": "th"})
)
# In these scripts a mark above or below is an accent; elsewhere it may be a letter of its own.
_ACCENTED = ("LATIN", "GREEK")


@lru_cache(maxsize=65_536)
def label_key(text: str) -> str:
    """Key of a label as it was written; empty for none.

    Examples
    --------
    >>> label_key("Nord-Haus"), label_key("ＮＯＲＤ ＨＡＵＳ"), label_key("Nördhaus®")
    ('nordhaus', 'nordhaus', 'nordhaus')
    """
    plain = unicodedata.normalize("NFKD", text.replace("®", " ").replace("™", " ").casefold())
    kept, base = [], ""
    for sign in plain.casefold().translate(_STROKES):
        if unicodedata.category(sign).startswith("M"):
            if base and not unicodedata.name(base, "").startswith(_ACCENTED):
                kept.append(sign)
        elif sign.isalnum():
            base = sign
            kept.append(sign)
    # A name of signs alone is a name too.
    return unicodedata.normalize("NFC", "".join(kept)) or "".join(text.split()).casefold()
