"""Values of settings as people type them: a line each for what has several, a comma or a point."""

from __future__ import annotations

import math
from typing import Any

from resale.config.prices import TicketStep
from resale.config.settings import Settings, shape_of
from resale.errors import SettingError

ABOVE = "above"
_YES = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


def as_text(value: Any) -> str:
    """Write a value for a form; `from_text` reads it back."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return "\n".join(f"{name} = {as_text(one)}" for name, one in value.items())
    if isinstance(value, tuple):
        return "\n".join(map(as_text, value))
    if isinstance(value, TicketStep):
        under = ABOVE if math.isinf(value.under) else as_text(value.under)
        return f"{under} = {as_text(value.step)}"
    return f"{value:.10g}" if isinstance(value, float) else "" if value is None else str(value)


def from_text(name: str, text: str) -> Any:
    """Read what was typed for a setting, as the file would have it.

    Parameters
    ----------
    name : str
    text : str
        Lists have a line for each; tables a line such as ``jacket = 5.5``; the steps of tickets a
        line such as ``20 = 0.5``, the last one ``above = 5``.

    Returns
    -------
    str, int, float, bool, list or dict

    Raises
    ------
    SettingError
        Where a line or a number cannot be read. What the setting may be is not asked here.
    """
    shape = shape_of(name)
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if name == "ticket_steps":
        return [_step(line) for line in lines]
    if shape == "list":
        return [_number(name, line) if name in _NUMBERS else line for line in lines]
    if shape == "table":
        pairs = [_pair(name, line) for line in lines]
        return {left: _number(name, right) if name in _NUMBERS else right for left, right in pairs}
    return _one(name, shape, text.strip())


_NUMBERS = frozenset({"marks", "habit", "rail_widths"})


def _one(name: str, shape: str, text: str) -> Any:
    if shape == "yes or no":
        if text.lower() not in _YES:
            raise SettingError(f"{text[:20]!r} is neither yes nor no", where=name)
        return _YES[text.lower()]
    if shape == "whole number":
        number = _number(name, text)
        if number != int(number):
            raise SettingError(f"{text[:20]!r} is not a whole number", where=name)
        return int(number)
    return _number(name, text) if shape == "number" else text


def _number(name: str, text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise SettingError(
            f"{text[:20]!r} is not a number", where=name, remedy="write one such as 12.5"
        )
    return number


def _pair(name: str, line: str) -> tuple[str, str]:
    left, equals, right = (part.strip() for part in line.partition("="))
    if not (left and equals and right):
        raise SettingError(
            f"the line {line[:40]!r} has no two sides",
            where=name,
            remedy="write each as one thing = another, on a line of its own",
        )
    return left, right


def _step(line: str) -> dict[str, float]:
    left, right = _pair("ticket_steps", line)
    under = math.inf if left.lower() == ABOVE else _number("ticket_steps", left)
    return {"under": under, "step": _number("ticket_steps", right)}


def with_typed(settings: Settings, typed: dict[str, str]) -> dict[str, Any]:
    """Give what a form changes: the new value of each setting that is not what it was.

    Parameters
    ----------
    settings : Settings
        As they are now.
    typed : mapping of str to str
        Texts by the name of the setting.

    Returns
    -------
    dict of str to value
        As the file would have it.

    Raises
    ------
    SettingError
        Where a text cannot be read.
    """
    return {
        name: from_text(name, text)
        for name, text in typed.items()
        if _lines(text) != _lines(as_text(getattr(settings, name)))
    }


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]
