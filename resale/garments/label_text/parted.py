"""Parts the words of a photographed label: fibres, care, and neither; with those to look at again.

Nothing is decided here. Whoever reads words off a picture may take one for another, so each word
goes on with how sure the reading was, and what the tables of fibres and care do not know counts as
unsure too. The words themselves stay as they were read.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from resale.garments.care.reader import read_care
from resale.garments.fibres.reader import read_fibre_label
from resale.garments.fibres.tokens import cut_label

Use = Literal["fibres", "care", "neither"]
SURE_FROM = 80
"""Confidence in percent from which a word is not pointed out: an opinion, no source."""
LONGEST_FIBRES, LONGEST_CARE = 1500, 300
_ON_A_FIBRE_LABEL = frozenset({"fibre", "part", "percent", "mark", "blend", "animal_parts"})
_BETWEEN = ", "
_FIGURES, _DEGREES = re.compile(r"\d+"), re.compile(r"\d\s*[°º]")


@dataclass(frozen=True, slots=True)
class ReadWord:
    """One word as it was read off a picture.

    Attributes
    ----------
    text : str
    confidence : int
        How sure the reading was, 0 to 100.
    line : int
        Lines are counted from the top.
    """

    text: str
    confidence: int
    line: int


@dataclass(frozen=True, slots=True)
class WordOfLabel:
    """One word, what it was taken for, and whether to look at it again.

    Attributes
    ----------
    why : str
        Why to look again: ``unclear`` or ``unknown``; empty for a word that is sure.
    """

    text: str
    confidence: int
    use: Use
    why: Literal["", "unclear", "unknown"] = ""


@dataclass(frozen=True, slots=True)
class LabelText:
    """What a photographed label says.

    Attributes
    ----------
    fibres, care : str
        For the fields of these names; empty where nothing was found.
    words : tuple of WordOfLabel
        All of them, in the order of the label.
    """

    fibres: str = ""
    care: str = ""
    words: tuple[WordOfLabel, ...] = ()

    @property
    def unsure(self) -> tuple[WordOfLabel, ...]:
        """Words of fibres and care to look at again."""
        return tuple(one for one in self.words if one.why and one.use != "neither")

    @property
    def left_out(self) -> str:
        """Words that are of neither."""
        return " ".join(one.text for one in self.words if one.use == "neither")


def parted(words: Sequence[ReadWord]) -> LabelText:
    """Part the words of a label.

    Parameters
    ----------
    words : sequence of ReadWord
        In the order of the label.

    Returns
    -------
    LabelText

    Examples
    --------
    >>> said = "100% cotton wash 30".split()
    >>> found = parted([ReadWord(word, 95, 0) for word in said])
    >>> found.fibres, found.care
    ('100% cotton', 'wash 30')
    """
    lines: dict[int, list[ReadWord]] = {}
    for word in words:
        lines.setdefault(word.line, []).append(word)
    pieces = [piece for line in _whole_phrases(lines.values()) for piece in _pieces(line)]
    fibres = _joined([_text(one) for use, one in pieces if use == "fibres"], LONGEST_FIBRES)
    care = _joined([_text(one) for use, one in pieces if use == "care"], LONGEST_CARE)
    unknown = _unknown(fibres, care)
    return LabelText(
        fibres,
        care,
        tuple(_of_label(word, use, unknown) for use, piece in pieces for word in piece),
    )


def _pieces(line: Sequence[ReadWord]) -> list[tuple[Use, Sequence[ReadWord]]]:
    """Give a line as one piece, or as two where fibres and care stand in it side by side."""
    is_fibres, is_care = _says_fibres(_text(line)), _says_care(_text(line))
    if is_care and not read_care(_text(line)).unread:
        # 'Lavage à la main' is care to its last word, though the main cloth is a part of labels.
        return [("care", line)]
    if not (is_fibres and is_care):
        return [("fibres" if is_fibres else "care" if is_care else "neither", line)]
    cuts: list[tuple[int, list[tuple[Use, Sequence[ReadWord]]]]] = []
    for at in range(len(line) + 1):
        for first, second in (("fibres", "care"), ("care", "fibres")):
            said: dict[str, str] = {first: _text(line[:at]), second: _text(line[at:])}
            both: list[tuple[Use, Sequence[ReadWord]]] = [
                ("fibres" if first == "fibres" else "care", line[:at]),
                ("fibres" if second == "fibres" else "care", line[at:]),
            ]
            cuts.append((_misfits(said["fibres"], said["care"]), both))
    best = min(cuts, key=lambda cut: cut[0])[1]
    return [(use, piece) for use, piece in best if piece]


def _misfits(fibres: str, care: str) -> int:
    """How many words are not understood where they stand."""
    strange = sum(item.kind == "unknown" for item in cut_label(fibres).items)
    loose = sum(item.plain for item in cut_label(fibres).items)
    return strange + loose + len(read_care(care).unread) + (not _says_fibres(fibres))


def _says_fibres(text: str) -> bool:
    return any(item.kind in _ON_A_FIBRE_LABEL and not item.plain for item in cut_label(text).items)


def _says_care(text: str) -> bool:
    """Whether words of care stand there, or degrees: a figure alone may be a size."""
    return bool(read_care(_FIGURES.sub(" ", text)).says or _DEGREES.search(text))


def _text(words: Sequence[ReadWord]) -> str:
    return " ".join(word.text for word in words)


def _whole_phrases(lines: Iterable[Sequence[ReadWord]]) -> list[Sequence[ReadWord]]:
    """Lines, those joined that a narrow label broke in the middle of a phrase of care."""
    whole: list[Sequence[ReadWord]] = []
    for line in lines:
        if whole and not _says_fibres(_text(line)) and _read_better(whole[-1], line):
            whole[-1] = (*whole[-1], *line)
        else:
            whole.append(line)
    return whole


def _read_better(before: Sequence[ReadWord], line: Sequence[ReadWord]) -> bool:
    """Whether two lines say care together that they do not say apart."""
    apart = len(read_care(_text(before)).unread) + len(read_care(_text(line)).unread)
    together = read_care(_text((*before, *line)))
    return bool(together.says) and len(together.unread) < apart


def _joined(lines: Sequence[str], longest: int) -> str:
    """Lines as one, up to the last that has room."""
    text = ""
    for line in lines:
        longer = f"{text}{_BETWEEN}{line}" if text else line
        if len(longer) > longest:
            break
        text = longer
    return text


def _unknown(fibres: str, care: str) -> frozenset[str]:
    """Words that neither table knows, as they are compared."""
    asked = read_fibre_label(fibres).questions if fibres else ()
    strange = {word for one in asked for word in one.word.split()}
    return frozenset(_bare(word) for word in (*strange, *read_care(care).unread))


def _of_label(word: ReadWord, use: Use, unknown: frozenset[str]) -> WordOfLabel:
    if word.confidence < SURE_FROM:
        return WordOfLabel(word.text, word.confidence, use, "unclear")
    known = _bare(word.text) not in unknown
    return WordOfLabel(word.text, word.confidence, use, "" if known else "unknown")


def _bare(word: str) -> str:
    return word.strip(".,:;()[]%").casefold()
