"""Cut the text of a fibre label into items: percentages, fibres, parts, and words nobody knows."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

from resale.garments.fibres.lexicon import (
    LEXICON,
    LONGEST_PHRASE,
    SMALL_WORDS,
    Kind,
    Meaning,
    one_letter_away,
)
from resale.garments.fibres.names import CODES, NAMES, fold, shown_name


@dataclass(frozen=True, slots=True)
class Item:
    """One meaningful piece of a label, in the order written.

    Attributes
    ----------
    kind : str
        What it is; ``break`` is a sign that may end a phrase.
    shown : str
        As written, for sentences.
    ids : tuple of str
        Fibres or part named; two fibres for words such as *polycotton*.
    marks : tuple of str
        What else the word says of the fibre, or the mark itself.
    value : float or None
        A percentage; None where it was written as ``?%``.
    plain : bool
        A figure without a percent sign.
    """

    kind: Kind
    shown: str
    ids: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    value: float | None = None
    plain: bool = False


@dataclass(slots=True)
class _Token:
    kind: str
    shown: str
    word: str


@dataclass(slots=True)
class CutLabel:
    """Items of a label and the sentences on what was repaired while cutting."""

    items: list[Item] = field(default_factory=list)
    repairs: list[str] = field(default_factory=list)


_FIGURE_KINDS = frozenset({"percent", "number", "illegible"})
_PERCENT_WORD = (
    r"(?:%|o/o\b|percent\b|per\s?cent\b|pct\b|prozent\b|procent\b|pour\s?cent\b"
    r"|por\s?ciento\b|por\s?cento\b|per\s?cento\b)"
)
_NUMBER = r"\d+(?:[.,]\d+)?"
_TOKEN = re.compile(
    rf"(?P<illegible>\?\s*%)"
    r"|(?P<asked>\?[^\W\d_]+)"
    rf"|(?P<percent>%\s*{_NUMBER}(?!\s*%)|{_NUMBER}\s*{_PERCENT_WORD})"
    rf"|(?P<number>{_NUMBER})"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<break>[.,;:\n()/|])"
    r"|(?P<joint>[-–])",
    re.IGNORECASE,
)
# 1OO%, l00%, 6O% : a letter typed, or read by a scanner, for a figure.
_LETTER_FOR_FIGURE = re.compile(
    r"(?<![^\W_])(?:[0-9OolI]*[0-9][0-9OolI]*(?=\s*%)|[1lI][0Oo]{2}|[0-9][Oo])(?![^\W_])"
)
_FIGURES = str.maketrans("OolI", "0011")
# A word broken at the end of a line: vis-|cose.
_BROKEN_WORD = re.compile(r"(?<=[^\W\d_])-[ \t\r]*\n\s*(?=[^\W\d_])")
# Words that a care or origin label prints beside the fibres, with what follows them.
_NOT_CONTENT = re.compile(
    r"\b(?:made|hergestellt)\s+in\b[^\n;\d%]*"
    r"|\bfabriqu[eé]\s+(?:en|au)\b[^\n;\d%]*|\bhecho\s+en\b[^\n;\d%]*"
    r"|\bfatto\s+in\b[^\n;\d%]*|\bprodotto\s+in\b[^\n;\d%]*|\bfabricado\s+em\b[^\n;\d%]*"
    r"|\bgemaakt\s+in\b[^\n;\d%]*|\bwyprodukowano\s+w\b[^\n;\d%]*|\btillverkad\s+i\b[^\n;\d%]*"
    r"|\d+\s*°\s*[cf]?\b|\d+\s*°"
    r"|\bsuper\s*\d{2,3}\s*['’]?s?\b|\brn\s*[#:]?\s*\d+\b"
    r"|\b\d+(?:[.,]\d+)?\s*(?:g/m2|gsm|g/qm|cm|mm|oz)\b",
    re.IGNORECASE,
)


def quoted(text: str, longest: int = 40) -> str:
    """Put words in quotation marks for a sentence, cut short where they run on.

    Parameters
    ----------
    text : str
    longest : int
        Letters shown at most, the ellipsis among them.
    """
    flat = " ".join(text.split())
    return f"'{flat}'" if len(flat) <= longest else f"'{flat[: longest - 1]}…'"


def cut_label(text: str) -> CutLabel:
    """Cut a label into items; never raises, drops nothing but known small words.

    Parameters
    ----------
    text : str
        The label as typed.

    Returns
    -------
    CutLabel
        Items in order, and a sentence for each thing that was not read as written.
    """
    cut = CutLabel()
    clean = _mend_figures(unicodedata.normalize("NFKC", text), cut.repairs)
    clean = _leave_out(_BROKEN_WORD.sub("", clean), cut.repairs)
    tokens = _drop_small_words(_tokens(clean))
    place = 0
    while place < len(tokens):
        token = tokens[place]
        if token.kind == "word":
            item, used = _read_words(tokens, place, cut.repairs)
        else:
            item, used = _read_sign(token, cut.repairs), 1
        if item is not None and item.kind != "filler":
            cut.items.append(item)
        place += used
    return cut


def _mend_figures(text: str, repairs: list[str]) -> str:
    def mend(found: re.Match[str]) -> str:
        figure = found[0].translate(_FIGURES)
        if figure != found[0]:
            repairs.append(f"Read {quoted(found[0])} as the figure {figure}.")
        return figure

    return _LETTER_FOR_FIGURE.sub(mend, text)


def _leave_out(text: str, repairs: list[str]) -> str:
    def blank(found: re.Match[str]) -> str:
        repairs.append(f"Left out {quoted(found[0])}, which does not say what the cloth is.")
        return " "

    return _NOT_CONTENT.sub(blank, text)


def _tokens(text: str) -> list[_Token]:
    return [
        _Token(found.lastgroup or "", found[0], fold(found[0])) for found in _TOKEN.finditer(text)
    ]


def _drop_small_words(tokens: Sequence[_Token]) -> list[_Token]:
    """Leave small words out, unless one is a fibre or code beside its percentage (5% EL)."""
    return [
        token
        for place, token in enumerate(tokens)
        if token.kind != "joint"
        and not (token.kind == "word" and token.word in SMALL_WORDS and not _weighs(tokens, place))
    ]


def _weighs(tokens: Sequence[_Token], place: int) -> bool:
    """Whether a small word is a fibre here: a code, or a name with its accent or standing alone."""
    if _is_code(tokens, place):
        return True
    token = tokens[place]
    if token.word not in NAMES:
        return False
    return token.shown.casefold() != token.word or _stands_alone(tokens, place)


def _kind_at(tokens: Sequence[_Token], place: int) -> str:
    return tokens[place].kind if 0 <= place < len(tokens) else ""


def _is_code(tokens: Sequence[_Token], place: int) -> bool:
    """Take letters for a label code only in capitals or alone, and beside a percentage."""
    token = tokens[place]
    if token.word not in CODES:
        return False
    beside = bool(_FIGURE_KINDS & {_kind_at(tokens, place - 1), _kind_at(tokens, place + 1)})
    return _stands_alone(tokens, place) or (beside and token.shown.isupper())


def _stands_alone(tokens: Sequence[_Token], place: int) -> bool:
    """Whether a word has a percentage on one side at least and no word on either."""
    sides = {_kind_at(tokens, place - 1), _kind_at(tokens, place + 1)}
    return bool(_FIGURE_KINDS & sides) and "word" not in sides


def _read_words(tokens: Sequence[_Token], place: int, repairs: list[str]) -> tuple[Item, int]:
    for length in range(LONGEST_PHRASE, 0, -1):
        run = tokens[place : place + length]
        meaning = LEXICON.get(tuple(token.word for token in run))
        if length == 1 and tokens[place].word in SMALL_WORDS and _is_code(tokens, place):
            break
        if meaning is not None and all(token.kind == "word" for token in run):
            shown = " ".join(token.shown for token in run)
            _say_trade_word(meaning, shown, repairs)
            return Item(meaning.kind, shown, meaning.ids, meaning.marks), length
    return _read_code_or_slip(tokens, place, repairs), 1


def _say_trade_word(meaning: Meaning, shown: str, repairs: list[str]) -> None:
    if meaning.source == "trade":
        named = " and ".join(shown_name(fibre_id) for fibre_id in meaning.ids)
        repairs.append(f"Read {quoted(shown)} as {named}.")
    if "bamboo" in meaning.marks:
        repairs.append(f"Read {quoted(shown)} as viscose made from bamboo, as it nearly always is.")


def _read_code_or_slip(tokens: Sequence[_Token], place: int, repairs: list[str]) -> Item:
    token = tokens[place]
    if _is_code(tokens, place):
        fibre_id = CODES[token.word]
        repairs.append(
            f"Read the code {quoted(token.shown)} as {shown_name(fibre_id)}; "
            "codes differ between makers, so check the garment."
        )
        return Item("fibre", token.shown, (fibre_id,))
    near = one_letter_away(token.word)
    if near is None:
        return Item("unknown", token.shown)
    meaning = LEXICON[(near,)]
    repairs.append(f"Read {quoted(token.shown)} as {quoted(near)}, one letter away.")
    return Item(meaning.kind, token.shown, meaning.ids, meaning.marks)


def _read_sign(token: _Token, repairs: list[str]) -> Item:
    if token.kind == "break":
        return Item("break", token.shown)
    if token.kind == "illegible":
        return Item("percent", token.shown)
    if token.kind == "asked":
        return Item("unknown", token.shown[1:])
    digits = re.search(_NUMBER, token.shown)
    figure = digits[0] if digits else "0"
    if "," in figure:
        repairs.append(f"Read {quoted(figure)} as {quoted(figure.replace(',', '.'))}.")
    value = round(float(figure.replace(",", ".")), 2)
    return Item("percent", token.shown.strip(), value=value, plain=token.kind == "number")
