"""Amounts of money as people write them: marks of currency, commas for points, gaps for thousands.

Whether 1.234 is more than a thousand or a little more than one is decided for a column; where the
column does not tell, both readings are named and nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Literal

from babel import Locale
from babel.numbers import get_currency_name, list_currencies

from resale.errors import ReadingError
from resale.money import Money

Mark = Literal[".", ","]

HIGHEST = 1_000_000
_GAPS = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f\t\r\n", " "))
_APOSTROPHES = str.maketrans(dict.fromkeys("'’‘`", "'"))
_NO_MARKS = str.maketrans("", "", "().,-–—−+")
_CELL = re.compile(
    r"(?P<before>[^\d.,+()−-]*)(?P<sign>[+(−-]?) ?(?P<between>[^\d.,+()−-]*)"
    r"(?P<number>\d[\d.,' ]*\d|\d|[.,]\d+)"
    r"(?:[.,] ?[-–—]{1,2})?(?P<after>[^\d+(]*)",
    re.ASCII,
)
_GAP_GROUPS = re.compile(r"\d{1,3}(?P<gap>[ '])\d{3}(?:(?P=gap)\d{3})*(?:[.,]\d+)?", re.ASCII)
_REMEDY = "write it like 12.50"


@dataclass(frozen=True)
class AmountStyle:
    """How a column writes amounts.

    Attributes
    ----------
    decimal : {".", ","} or None
        The mark before the cents; None where the column does not tell.
    """

    money: Money
    decimal: Mark | None = None

    @classmethod
    def of(cls, texts: Iterable[str], money: Money, told: Mark | None = None) -> AmountStyle:
        """Look at a column.

        Parameters
        ----------
        told : {".", ","}, optional
            What the user said stands before the cents, where the column does not tell.
        """
        blank = cls(money)
        seen: set[Mark] = set()
        for text in texts:
            try:
                parts = blank.parts(text)
            except ReadingError:
                continue
            if parts.decimal is not None and not parts.in_doubt:
                seen.add(parts.decimal)
        return cls(money, next(iter(seen)) if len(seen) == 1 else told)

    def parts(self, text: str) -> Parts:
        """Take a cell apart into figures and marks, without deciding what is in doubt.

        Raises
        ------
        ReadingError
            If it is no amount, or one below 0.
        """
        plain = " ".join(text.translate(_GAPS).translate(_APOSTROPHES).split())
        found = _CELL.fullmatch(plain)
        if found is None:
            what = f"{plain[:40]!r} is not an amount" if plain else "no amount is given"
            raise ReadingError(what, remedy=_REMEDY)
        self._check_marks(plain, found)
        if found["sign"] in ("-", "−", "(") or found["after"].rstrip().endswith(("-", "−")):
            raise ReadingError(
                f"{plain[:40]} is below 0",
                remedy="leave refunds out of a file of sales",
            )
        return _parted(found["number"], plain)

    def _check_marks(self, plain: str, found: re.Match[str]) -> None:
        words = (found[name].strip(" ()") for name in ("before", "between", "after"))
        for mark in filter(None, (word.strip(".,-–—− ").casefold() for word in words)):
            if mark in own_marks(self.money):
                continue
            other = _marks_of_all().get(mark)
            if other is None:
                raise ReadingError(f"{plain[:40]!r} is not an amount", remedy=_REMEDY)
            raise ReadingError(
                f"{plain[:40]} is in {other}, and the shop counts in {self.money.currency}",
                remedy="change it into the shop's money, or state a rate",
            )


@dataclass(frozen=True)
class Parts:
    """An amount taken apart.

    Attributes
    ----------
    whole, part : str
        Figures before and after the mark before the cents.
    decimal : {".", ","} or None
        That mark, or the one that the mark of thousands leaves for it.
    in_doubt : bool
        Whether the mark could be one of thousands instead.
    """

    whole: str
    part: str = ""
    decimal: Mark | None = None
    in_doubt: bool = False


def read_messy_amount(text: str, style: AmountStyle) -> Decimal:
    """Read an amount above 0.

    Parameters
    ----------
    text : str
        One cell.
    style : AmountStyle
        What the whole column shows of its marks and signs.

    Returns
    -------
    Decimal
        In major units.

    Raises
    ------
    ReadingError
        If it is none, in another currency, or could be two amounts: then both are named.

    Examples
    --------
    >>> style = AmountStyle.of(["€ 12,50"], Money("EUR", "en_IE"))
    >>> read_messy_amount("1.250 €", style), read_messy_amount("9,5", style)
    (Decimal('1250'), Decimal('9.5'))
    """
    parts = style.parts(text)
    if parts.in_doubt:
        parts = _decided(parts, style, text)
    amount = Decimal(f"{parts.whole or 0}.{parts.part or 0}")
    shown = " ".join(text.split())[:40]
    decimals = style.money.decimals
    # Before it is rounded: a number of more figures than decimals are reckoned in cannot be.
    if not 0 < amount <= HIGHEST:
        raise ReadingError(
            f"{shown} is not above 0 and up to {HIGHEST:,}", remedy="look at the amount"
        )
    if amount != round(amount, decimals):
        raise ReadingError(
            f"{shown} has more than the {decimals} decimals of {style.money.currency}",
            remedy="look at the amount",
        )
    return amount.quantize(Decimal(1)) if amount == amount.to_integral() else amount


def currency_in(text: str, money: Money) -> str | None:
    """Code of the currency whose mark stands in a cell; None where none does.

    Parameters
    ----------
    money : Money
        The shop's own, to which a mark that several currencies share belongs.
    """
    plain = " ".join(text.translate(_GAPS).translate(_APOSTROPHES).split())
    found = _CELL.fullmatch(plain)
    if found is None:
        return None
    for part in ("before", "between", "after"):
        mark = found[part].translate(_NO_MARKS).strip()
        if mark:
            return currency_named(mark, money)
    return None


def currency_named(word: str, money: Money) -> str | None:
    """Code of a currency by its code, its sign or its name; None for any other word.

    Parameters
    ----------
    word : str
    money : Money
        The shop's; its own signs are its own currency, whoever else uses them.

    Returns
    -------
    str or None
        ISO 4217.
    """
    mark = word.strip(" .").casefold()
    return money.currency if mark in own_marks(money) else _marks_of_all().get(mark)


@lru_cache(maxsize=16)
def own_marks(money: Money) -> frozenset[str]:
    """Signs, code and names of the shop's money."""
    code = money.currency
    own = {code, money.symbol}
    for language in {"en", money.locale}:
        sign = Locale.parse(language).currency_symbols.get(code, code)
        own |= {sign, sign.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") or code}
        own |= {get_currency_name(code, count, language) for count in (1, 2)}
    return frozenset(mark.casefold().strip(".") for mark in own)


def minor_units(text: str, money: Money) -> int:
    """Read one amount as people of a shop write it, in minor units.

    Parameters
    ----------
    text : str
    money : Money
        The shop's.

    Returns
    -------
    int
        In minor units.

    Raises
    ------
    ReadingError
        If it is none.
    """
    # Where a mark could be one of thousands or one before cents, the shop's own habit decides.
    habit: Mark = "," if money.plain(100)[-3:-2] == "," else "."
    style = AmountStyle.of([text], money, habit)
    return int(read_messy_amount(text, style).scaleb(money.decimals))


def _parted(number: str, plain: str) -> Parts:
    """Tell figures from marks in a bare number."""
    wrong = ReadingError(f"{plain[:40]!r} is not an amount", remedy=_REMEDY)
    if " " in number or "'" in number:
        if not _GAP_GROUPS.fullmatch(number):
            raise wrong
        number = number.replace(" ", "").replace("'", "")
        mark, whole, part = _cut(number)
        return Parts(whole, part, mark)
    marks = [sign for sign in number if sign in ".,"]
    if not marks:
        return Parts(number)
    if len(marks) == 1:
        mark, whole, part = _cut(number)
        doubt = len(part) == 3 and 1 <= len(whole) <= 3 and whole.strip("0") != ""
        return Parts(whole, part, mark, doubt)
    last, thousands = marks[-1], marks[0]
    if last == thousands:
        whole, part = number, ""
    else:
        whole, _, part = number.rpartition(last)
    grouped = rf"\d{{1,3}}(?:\{thousands}\d{{2,3}})*\{thousands}\d{{3}}"
    if not re.fullmatch(grouped, whole, re.ASCII):
        raise wrong
    return Parts(whole.replace(thousands, ""), part, "," if thousands == "." else ".")


def _cut(number: str) -> tuple[Mark | None, str, str]:
    for mark in (".", ","):
        whole, found, part = number.partition(mark)
        if found:
            return (mark, whole, part)
    return None, number, ""


def _decided(parts: Parts, style: AmountStyle, text: str) -> Parts:
    """Settle whether a mark before three figures is one of thousands."""
    thousands = Parts(parts.whole + parts.part)
    if style.money.decimals == 0:
        return thousands
    if style.decimal is not None and style.decimal != parts.decimal:
        return thousands
    if style.decimal is not None and style.money.decimals >= 3:
        return parts
    raise ReadingError(
        f"{' '.join(text.split())[:40]} could be {thousands.whole} or {parts.whole}.{parts.part}",
        remedy="say which mark stands before the cents, or write it with two decimals or none",
    )


@lru_cache(maxsize=1)
def _marks_of_all() -> Mapping[str, str]:
    """Codes and usual signs of all currencies; a sign that several use names the best known."""
    known = {code.casefold(): code for code in sorted(list_currencies())}
    signs = Locale.parse("en").currency_symbols
    return known | {sign.casefold(): code for code, sign in signs.items()}
