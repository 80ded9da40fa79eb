"""The one family of errors that a user is meant to read."""

from __future__ import annotations


class ResaleError(Exception):
    """Something the user can mend: what is wrong, where, and how to put it right.

    Parameters
    ----------
    what : str
        The fault, as a clause without a full stop.
    where : str
        The place: a file and line, a column, a field. May be empty.
    remedy : str
        What to do about it, as a clause without a full stop.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        self.what = what
        self.where = where
        self.remedy = remedy
        super().__init__(self.sentence)

    @property
    def sentence(self) -> str:
        """The whole message as one sentence."""
        place = f"{self.where}: " if self.where else ""
        mend = f"; {self.remedy}" if self.remedy else ""
        return f"{place}{self.what}{mend}."


class RuleBookError(ResaleError):
    """The rule book file says something it cannot mean."""


class ReadingError(ResaleError):
    """An item was described with words or numbers that the rule book does not know."""


class ModelFileError(ResaleError):
    """A stored model is missing, altered, or made for another rule book."""


class ItemFileError(ResaleError):
    """A file of items or sales cannot be read at all."""


class SettingError(ResaleError):
    """A setting of the shop has a value that it cannot take."""
