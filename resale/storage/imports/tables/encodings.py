"""Which letters the bytes of a text file stand for.

A mark at the beginning tells; else what is sound UTF-8 or plainly UTF-16 is taken for it; else
charset-normalizer weighs the usual sets, and among those that read well the one is taken in which
most headings are words that shops use.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from charset_normalizer import from_bytes

from resale.errors import ItemFileError
from resale.storage.imports.words.word_lists import headings_by_key, word_key

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# In the order in which they are preferred where nothing tells them apart.
USUAL = {
    "cp1252": "Western, Windows",
    "cp1250": "Central European, Windows",
    "cp850": "Western, DOS",
    "cp852": "Central European, DOS",
    "mac_roman": "Western, Macintosh",
    "cp1251": "Cyrillic, Windows",
    "koi8_r": "Cyrillic, KOI8-R",
    "cp1253": "Greek, Windows",
    "cp1254": "Turkish, Windows",
    "cp1255": "Hebrew, Windows",
    "cp1256": "Arabic, Windows",
    "cp1257": "Baltic, Windows",
    "cp932": "Japanese, Shift JIS",
    "euc_jp": "Japanese, EUC",
    "gb18030": "Chinese, GB 18030",
    "big5": "Chinese, Big5",
    "cp949": "Korean",
}
CHOICES = {"utf-8": "UTF-8", "utf-16": "UTF-16", **USUAL}
# So much of the lines that tell is looked at: enough to tell, and done in a blink.
LOOKED_AT = 20_000
HEAD_LINES = 25
# How much worse than the best a set may read to be thought of at all.
NEAR = 0.08
# Letters of those languages; how often is an opinion, from memory.
_FREQUENT = "äöüßéèàçñóãõåøąęłśżćíáúêôâńź"
_RARER = "îïûùëòìœæÿþð"
_TELLS = re.compile(rb"[^\r\n]*[\x80-\xff][^\r\n]*")


@dataclass(frozen=True)
class Decoded:
    """Text with the set of letters that it was read by."""

    text: str
    codec: str

    @property
    def name(self) -> str:
        """The set in words."""
        return CHOICES.get(self.codec, CHOICES.get(self.codec.removesuffix("-sig"), self.codec))


def decoded(content: bytes, name: str, told: str | None = None) -> Decoded:
    """Read the letters of a file.

    Parameters
    ----------
    name : str
        Of the file, for sentences.
    told : str, optional
        One of `CHOICES`, where the user said so.

    Raises
    ------
    ItemFileError
        If the bytes are no text in that set, or in any.
    """
    codec = told or _codec(content)
    if codec is None:
        raise _not_text(name, 1, "the letters of the text cannot be told")
    try:
        text = content.decode(codec)
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        raise _not_text(name, line, f"the text is not in {CHOICES.get(codec, codec)}") from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise _not_text(name, line, "the text holds a NUL byte, which no text has")
    return Decoded(text.removeprefix("\ufeff"), codec)


def _not_text(name: str, line: int, what: str) -> ItemFileError:
    return ItemFileError(what, where=f"{name}, line {line}", remedy="save it as CSV in UTF-8")


def _codec(content: bytes) -> str | None:
    for bom, codec in _BOMS:
        if content.startswith(bom):
            return codec
    wide = _wide(content)
    if wide:
        return wide
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return _weighed(content)
    return "utf-8"


def _wide(content: bytes) -> str | None:
    """UTF-16 without a mark: every other byte of plain letters is 0."""
    head = content[:4096]
    pairs = len(head) // 2
    if pairs < 4:
        return None
    even, odd = head[0 : 2 * pairs : 2].count(0), head[1 : 2 * pairs : 2].count(0)
    if odd > 0.6 * pairs > 10 * even:
        return "utf-16-le"
    return "utf-16-be" if even > 0.6 * pairs > 10 * odd else None


def _weighed(content: bytes) -> str | None:
    head = b"\n".join(content.splitlines()[:HEAD_LINES])
    telling = b"\n".join(dict.fromkeys(_TELLS.findall(content)))[:LOOKED_AT]
    found = from_bytes(telling, cp_isolation=list(USUAL), preemptive_behaviour=False)
    sound = [one for one in found if _decodes(content, one.encoding)]
    if not sound:
        return None
    best = min(one.chaos for one in sound)
    order = list(USUAL)

    def rank(codec: str, chaos: float, coherence: float) -> tuple[float, ...]:
        text = telling.decode(codec, errors="replace")
        known = _known_headings(head.decode(codec, errors="replace"))
        letters = (-_odd_signs(text), _usual_letters(text))
        return known, *letters, -round(chaos, 2), coherence, -order.index(codec)

    near = [one for one in sound if one.chaos <= best + NEAR and one.encoding in order]
    chosen = max(near or sound, key=lambda one: rank(one.encoding, one.chaos, one.coherence))
    return chosen.encoding


def _decodes(content: bytes, codec: str) -> bool:
    try:
        content.decode(codec)
    except UnicodeDecodeError:
        return False
    return True


def _known_headings(head: str) -> int:
    known = headings_by_key()
    return sum(word_key(cell.strip('" ')) in known for cell in re.split(r"[;,\t|\r\n]", head))


def _usual_letters(text: str) -> float:
    """How usual letters beyond the plain ones are in the languages of the label reader, 0 to 2."""
    beyond = [one for one in text.lower() if one > "\x7f" and one.isalpha()]
    weights = (2 if one in _FREQUENT else 1 if one in _RARER else 0 for one in beyond)
    return sum(weights) / max(1, len(beyond))


def _odd_signs(text: str) -> int:
    """Signs that are neither letters nor money or stand within a word, and capitals within one."""
    within = re.findall(r"(?<=[^\W\d_])[^\w\s’·\x00-\x7f](?=[^\W\d_])", text)
    odd = sum(
        not (one.isalpha() or one in "€£¥§°«»–—‘’“”…·ºª½\xa0\r\n") for one in text if one > "\x7f"
    )
    return odd + len(within) + len(re.findall(r"[a-zà-ÿ][À-ÞŁŚŻŹĆŃ]", text))
