"""Words of any script in a header, as the open standard for it has them."""

from __future__ import annotations

from urllib.parse import quote

# RFC 9651, 3.3.8: visible letters of ASCII and the space stand for themselves, but for % and ".
_PLAIN = "".join(sign for sign in map(chr, range(0x20, 0x7F)) if sign not in '%"')


def display_string(words: str) -> str:
    """Write words as a Display String of RFC 9651 (section 4.1.11): UTF-8, in small hex digits.

    Examples
    --------
    >>> display_string("This is intended for display to üsers.")
    '%"This is intended for display to %c3%bcsers."'
    """
    return f'%"{_lower(quote(words, safe=_PLAIN))}"'


def _lower(quoted: str) -> str:
    first, *others = quoted.split("%")
    return first + "".join(f"%{other[:2].lower()}{other[2:]}" for other in others)
